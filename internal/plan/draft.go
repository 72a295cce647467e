package plan

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"bittersum/internal/brief"
)

// Draft is the text of a plan to begin with: a year of the briefs, a batch of each a month, with an offer for every
// ingredient at the price that the briefs have for it. files are the briefs as the plan names them.
func Draft(name string, start time.Time, files []string, jobs []*brief.Job) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# A plan to begin with: put in what you sell, who sells to you, and how long things keep.\n")
	fmt.Fprintf(&b, "# bittersum help plan-file explains the keys; bittersum plan reads it.\n")
	fmt.Fprintf(&b, "name = %q\ncurrency = %q\nstart = %s\nperiods = 12\n\n", name, jobs[0].Currency, start.Format(time.DateOnly))
	fmt.Fprintf(&b, "# What no supplier below offers is bought as needed at the price that the brief has for it.\nothers = \"list price\"\n")
	for n, j := range jobs {
		litres := j.BatchL
		if litres == 0 {
			litres = 100
		}
		fmt.Fprintf(&b, "\n[[drink]]\nbrief = %q\n# %s: litres sold in each month, one number or a list of twelve\ndemand_l = %g\nwaits_periods = 1\n", files[n], oneLine(j.Name), litres)
	}
	fmt.Fprintf(&b, "\n# One [[supplier]] for each that you order from; freight is paid for each order.\n[[supplier]]\nname = \"My supplier\"\nfreight_per_order = 0\nlead_days = 0\n")
	var seen []string
	for _, j := range jobs {
		for _, s := range j.Sources {
			if s.Water() || s.Made != nil || slices.Contains(seen, s.Ingredient.Name) || s.Lot != nil {
				continue
			}
			seen = append(seen, s.Ingredient.Name)
			fmt.Fprintf(&b, "\n[[offer]]\nsupplier = \"My supplier\"\nitem = %q\nprice_per_kg = %g # from the %s\n", s.Ingredient.Name, s.PricePerKg, priceFrom(s))
			if len(seen) == 1 {
				b.WriteString("# changes = [{ from = " + start.AddDate(0, 4, 0).Format(time.DateOnly) + ", price_per_kg = 0.00 }]\n# pack_kg = 1\n# months = [10, 11, 12]\n")
			}
		}
	}
	b.WriteString("\n# [item.NAME] says how long a thing keeps from the day it comes, and what is there beside the lots of the briefs:\n# keeps_months = 12\n# opening_kg = 0\n# cold = true\n\n# [kettle]\n# batch_l = 100\n# hours_per_batch = 6\n# hours_per_period = 80\n")
	return b.String()
}

// priceFrom says where a price comes from, in words for a comment.
func priceFrom(s *brief.Source) string {
	switch s.PriceFrom {
	case "brief", "price list":
		return s.PriceFrom
	}
	return "library, " + s.PriceFrom + ": put in yours"
}

// oneLine keeps a maker's text within a comment.
func oneLine(text string) string {
	return strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r < ' ' }), " ")
}
