package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strings"

	"bittersum/internal/sensory"
)

// Panel says how many tasters a test needs.
type Panel struct {
	Test         sensory.Test
	Tasters      int
	Alpha, Power float64
	// Share of the tasters who could tell, and the d' it stands for.
	Share, Difference float64
}

// Tasters writes how many tasters a difference test needs.
func Tasters(w io.Writer, p Panel) {
	fmt.Fprintf(w, "%s\n", wrap(fmt.Sprintf("%s test: %d answers show with %s certainty that a swap is noticed, when %s of people can tell (d' %s). %d right answers say \"different\" (5 %% by guessing at most).",
		testName(p.Test), p.Tasters, percent(p.Power), percent(p.Share), figures(p.Difference, 3), p.Test.Fewest(p.Tasters, p.Alpha)), width, "  "))
	fmt.Fprintf(w, "%s\n", wrap("Each answer is one taster and one set of cups; a person may taste again after a rest, but then the answers speak for fewer people.", width, "  "))
}

func testName(t sensory.Test) string {
	if t == sensory.ThreeAFC {
		return "3-AFC"
	}
	return strings.ToUpper(string(t[0])) + string(t[1:])
}

// question is what a taster is asked.
func question(t sensory.Test) string {
	switch t {
	case sensory.Triangle:
		return "Two are the same. Which one is different?"
	case sensory.DuoTrio:
		return "The first is the reference. Which of the other two is the same?"
	case sensory.Tetrad:
		return "Two and two are the same. Which is the partner of the first?"
	}
	return "Which one has most of what you were told to look for?"
}

// Servings writes the server's sheet of a difference test: who gets which cups, and the right answers.
func Servings(w io.Writer, t sensory.Test, a, b string, servings []sensory.Serving) {
	fmt.Fprintf(w, "%s test, A: %s, B: %s\n", testName(t), a, b)
	fmt.Fprintf(w, "%s\n", wrap("Ask: "+question(t)+" Guessing is right when nobody is sure.", width, "  "))
	fmt.Fprintf(w, "%s\n\n", wrap("Keep this sheet from the tasters. Cups alike, same volume, same temperature, served from left to right. Tell everyone what is in the drinks; quinine and other bitter plants are not for those who must avoid them.", width, "  "))
	table := newTable("  ", "rtaster", "lcups, left to right", "lin them", "lright answer", "lanswer given")
	for _, s := range servings {
		var codes, holds []string
		for _, c := range s.Cups {
			codes = append(codes, c.Code)
			holds = append(holds, c.Holds)
		}
		table.row(fmt.Sprint(s.Taster), strings.Join(codes, " "), strings.Join(holds, " "), strings.Join(s.Right, " "), "____")
	}
	table.write(w)
	fmt.Fprintf(w, "\n%s\n", wrap(fmt.Sprintf("%d right answers or more say they differ (5 %%). Judge: bittersum taste score --test %s --of %d --right N", t.Fewest(len(servings), sensory.Alpha), t, len(servings)), width, "  "))
}

// ServingsCSV writes the same as rows.
func ServingsCSV(w io.Writer, servings []sensory.Serving) error {
	rows := csv.NewWriter(w)
	_ = rows.Write([]string{"taster", "place", "code", "holds", "right"})
	for _, s := range servings {
		for place, c := range s.Cups {
			_ = rows.Write([]string{fmt.Sprint(s.Taster), fmt.Sprint(place + 1), c.Code, c.Holds, strings.Join(s.Right, " ")})
		}
	}
	rows.Flush()
	return rows.Error()
}

// Score writes what the answers of a difference test say.
func Score(w io.Writer, s sensory.Score) {
	verdict := fmt.Sprintf("Not shown to differ: %d right answers would have been needed. That is no proof that they are alike.", s.Needed)
	switch {
	case s.Needed > s.Tasters:
		verdict = fmt.Sprintf("%d tasters are too few to show anything at 5 %%.", s.Tasters)
	case s.Different:
		verdict = fmt.Sprintf("They differ: %d right answers are enough.", s.Needed)
	case s.Alike:
		verdict = fmt.Sprintf("Alike enough: with 95 %% confidence at most %s of people can tell (up to %d right answers).", percent(s.Bound), s.AlikeUpTo)
	}
	fmt.Fprintf(w, "%s test: %d right of %d.\n%s\n\n", testName(s.Test), s.Right, s.Tasters, wrap(verdict, width, "  "))
	t := newTable("  ", "l", ".found", "l95 % of such tests hold it within")
	t.row("right answers", percent(s.Correct), percent(s.CorrectIn.Low)+" to "+percent(s.CorrectIn.High))
	t.row("people who can tell", percent(s.Discriminators), percent(s.DiscriminatorsIn.Low)+" to "+percent(s.DiscriminatorsIn.High))
	t.row("difference, d'", figures(s.Difference, 3), figures(s.DifferenceIn.Low, 3)+" to "+figures(s.DifferenceIn.High, 3))
	t.row("by guessing alone", percentOrLess(s.P), "")
	t.write(w)
	if !s.Different && s.Tasters >= 1 {
		if s.AlikeUpTo < 0 {
			fmt.Fprintf(w, "\n%s\n", wrap(fmt.Sprintf("%d tasters are too few to call them alike within %s of people; ask more.", s.Tasters, percent(s.Bound)), width, "  "))
		} else if !s.Alike {
			fmt.Fprintf(w, "\n%s\n", wrap(fmt.Sprintf("To call them alike, at most %d could be right (%s of people may tell).", s.AlikeUpTo, percent(s.Bound)), width, "  "))
		}
	}
}

func percentOrLess(p float64) string {
	if p < 0.0005 {
		return "< 0.05 %"
	}
	return percent(p)
}

type jsonInterval struct {
	Value number `json:"value"`
	Low   number `json:"low"`
	High  number `json:"high"`
}

func intervalJSON(value float64, in sensory.Interval) jsonInterval {
	return jsonInterval{number(value), number(in.Low), number(in.High)}
}

// ScoreJSON writes the same as JSON.
func ScoreJSON(w io.Writer, s sensory.Score) error {
	return encode(w, struct {
		Schema    string       `json:"schema"`
		Test      string       `json:"test"`
		Right     int          `json:"right"`
		Tasters   int          `json:"tasters"`
		P         number       `json:"p"`
		Needed    int          `json:"needed"`
		Different bool         `json:"different"`
		Bound     number       `json:"alike_bound"`
		AlikeUpTo int          `json:"alike_up_to"`
		Alike     bool         `json:"alike"`
		Correct   jsonInterval `json:"correct"`
		CanTell   jsonInterval `json:"can_tell"`
		D         jsonInterval `json:"d_prime"`
	}{"bittersum/taste-score/1", string(s.Test), s.Right, s.Tasters, number(s.P), s.Needed, s.Different, number(s.Bound), s.AlikeUpTo, s.Alike,
		intervalJSON(s.Correct, s.CorrectIn), intervalJSON(s.Discriminators, s.DiscriminatorsIn), intervalJSON(s.Difference, s.DifferenceIn)})
}

// bitterCautions go with every bitterness tasting.
const bitterCautions = "Cautions: spit everything out and rinse. Quinine is not for people who are allergic to it, pregnant, have heart rhythm trouble or take medicines that do not go with it; plants with legal caps are tasted as weakly as they will do, and not by anyone who must avoid them. Ask a physician or pharmacist when in doubt. A few tastings a day at most."

// BitterMethod writes how a bitterness value is tasted, with a kitchen's means.
func BitterMethod(w io.Writer) {
	steps := []string{
		"Quinine solution, 10 mg/L of quinine hydrochloride: 1.00 g in water to 1 L; 10.0 g of that to 1 L. Weigh to 0.01 g; water for 1 mL.",
		fmt.Sprintf("Quinine series: %s mL of it, each made up to 10 mL with water.", series(sensory.QuinineSeries())),
		"At least six tasters, one by one, mouth rinsed. Start with the weakest: 10 mL over the back of the tongue for 30 seconds. Not bitter: spit out, wait a minute, rinse, wait ten minutes, take the next. Note the first that is bitter: threshold_ml. Who cannot taste the last one is left out.",
		"Sample: 1.0 g of powder in 100 mL of boiling water, 30 minutes on a water bath, stirred; cooled, made up to 100 mL, shaken, filtered. This is factor 100. Dilute it on: " + series(sensory.Dilutions()[1:]) + " (times 10, times 10, then 2 in 10 and 1 in 10).",
		"Taste from the weakest to the stronger. The first that is bitter gives factor.",
		fmt.Sprintf("From that one: %s mL, each made up to 10 mL. Again from the weakest: the first that is bitter gives volume_ml.", series(sensory.SampleSeries())),
	}
	fmt.Fprintf(w, "Bitterness value (European Pharmacopoeia 2.8.15), in six steps:\n")
	for n, step := range steps {
		fmt.Fprintf(w, "  %d. %s\n", n+1, wrap(step, width-5, "     "))
	}
	fmt.Fprintf(w, "  %s\n", wrap("Steps 1 to 4 as published; the factors of the dilutions and the second series are recalled: compare them with your pharmacopoeia.", width-2, "  "))
	fmt.Fprintf(w, "\nWrite it down like this, one table a taster, and let it be worked out with\nbittersum taste bitter FILE:\n\n")
	fmt.Fprint(w, "  ingredient = \"gentian-root\"\n  lot = \"G-12\"\n  [[taster]]\n  name = \"1\"\n  threshold_ml = 4.2\n  factor = 10000\n  volume_ml = 6\n\n")
	fmt.Fprintf(w, "%s\n", wrap(bitterCautions, width, "  "))
}

func series(values []float64) string {
	var words []string
	for _, v := range values {
		words = append(words, plain(v))
	}
	return strings.Join(words, ", ")
}

// Bitter writes the bitterness value that a panel found.
func Bitter(w io.Writer, t *sensory.Tasting, b sensory.Bitter) {
	what := t.Ingredient
	if t.Lot != "" {
		what += ", lot " + t.Lot
	}
	per := sensory.PerGram
	text := fmt.Sprintf("Bitterness of %s: value %s, that is %s mg of quinine hydrochloride equivalents per gram.", what, grouped(math.Round(b.Value)), figures(per(b.Value), 3))
	fmt.Fprintf(w, "%s\n\n", wrap(text, width, "  "))
	table := newTable("  ", "ltaster", ".threshold, mL", "rfactor", ".volume, mL", "rvalue")
	for n, taster := range t.Tasters {
		table.row(taster.Name, plain(taster.Threshold), plain(taster.Factor), plain(taster.Volume), grouped(math.Round(b.Each[n])))
	}
	table.write(w)
	fmt.Fprintln(w)
	upper := "without a bound above, since someone tasted the weakest tube: dilute further"
	if !math.IsInf(b.AtMost, 1) {
		upper = fmt.Sprintf("between %s and %s mg/g", figures(per(b.Value), 3), figures(per(b.AtMost), 3))
	}
	fmt.Fprintf(w, "  %s\n", wrap("Each taster's value is the lower end of a step of the series, so the true mean lies "+upper+".", width-2, "  "))
	if len(t.Tasters) < 6 {
		fmt.Fprintf(w, "  %s\n", wrap(fmt.Sprintf("The pharmacopoeia wants six tasters at least; here are %d.", len(t.Tasters)), width-2, "  "))
	}
	if len(t.Tasters) > 1 {
		fmt.Fprintf(w, "  %s\n", wrap(fmt.Sprintf("Tasters deviate by %s mg/g; the geometric mean is %s mg/g. For the lot's certificate: bitterness = { per_g = %s, sd = %s }. It was measured on a boiling extract.",
			figures(per(b.Deviation), 3), figures(per(b.Geometric), 3), figures(per(b.Value), 3), figures(per(b.Deviation)/math.Sqrt(float64(len(t.Tasters))), 2)), width-2, "  "))
	}
	fmt.Fprintf(w, "\n%s\n", wrap(bitterCautions, width, "  "))
}

// BitterJSON writes the same as JSON.
func BitterJSON(w io.Writer, t *sensory.Tasting, b sensory.Bitter) error {
	each := make([]number, len(b.Each))
	for n, value := range b.Each {
		each[n] = number(value)
	}
	return encode(w, struct {
		Schema     string   `json:"schema"`
		Ingredient string   `json:"ingredient"`
		Lot        string   `json:"lot,omitempty"`
		Value      number   `json:"bitterness_value"`
		Geometric  number   `json:"geometric_mean"`
		Deviation  number   `json:"deviation"`
		AtMost     number   `json:"at_most"`
		PerGram    number   `json:"mg_per_g"`
		Each       []number `json:"tasters"`
	}{"bittersum/bitterness/1", t.Ingredient, t.Lot, number(b.Value), number(b.Geometric), number(b.Deviation), number(b.AtMost), number(sensory.PerGram(b.Value)), each})
}
