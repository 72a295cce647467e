package page

import "strings"

// inBoxes says a refusal that names options of the command line in terms of the page's boxes. Longer phrases come
// first, as a text is looked through for them in this order.
func inBoxes(text string) string { return boxes.Replace(text) }

var boxes = strings.NewReplacer(
	// Batches.
	"; leave --number out for a free one, or plan it again with --force", "; empty the box Number for a free one",
	"batch needs --litres, or batch_l in the brief", "Litres is empty, and the brief has no batch_l",
	"is no share from 0 to 1", "is no share from 0 to 1 (0 to 100 %)",
	"--allowance", "Stay clear of limits by",
	"--number", "Number",
	"--paper", "Paper",
	"--without-lot", "Lots that may be used",
	"--throw", "Syrup for a throw of",
	"--scale", "Scales",
	"--out", "Sheet",
	// A drink begun with a recipe.
	"init --recipe needs --markets, where the drink is sold: their caps hold", "nothing is ticked under For sale in: the caps of where the drink is sold hold",
	"say it with --batch-l", "say it under Litres of a batch",
	"say it with --spirit-drink or --spirit-drink=false", "say it under Is it a spirit drink",
	"--currency", "Currency",
	"--decimal", "Decimal sign",
	" --sheet NAME", ", or name it under Worksheet",
	// Records.
	"--weighed", "Weighed",
	"--measured", "Measured",
	"--draw:", "Booking what was taken:",
	" (see bittersum record --draw)", ": book what was taken at the end of its record",
	" (--lot NAME=LOT)", "",
	`is not NAME=LOT`, "is no lot of it",
	"--lot", "Lot used",
	"--made-on", "Made on",
	"--recipe and --record exclude each other", "a recipe and a batch exclude each other",
	"--record", "Record to fill in",
	// The shelf.
	"lots add needs --number, --ingredient and --kg", "a lot needs Lot, Ingredient and kg",
	"if it is so, say why: --sure with lots add, sure beside it in the file", "if it is so, say why under Why a value far from the profile is right, or as sure beside it in the file",
	"--reason and --by", "Why and By",
	"--pack-kg", "kg in a pack",
	"--kg", "kg",
	"--price: ", "Paid per kg: ",
	"--moisture", "Moisture on the certificate",
	"--received", "Received",
	"--date", "The day",
	// The register.
	"withhold needs --by and --reason", "Withheld by and Why are both needed",
	"release needs --by", "Released by is empty",
	"sold needs --to and --bottles", "Went to and Bottles are both needed",
	"release it only with --reason", "release it only with a reason, under Why, if it misses its brief",
	"--best-before", "Best before",
	"--on", "On",
	"--reason", "Why",
	// What if.
	"--drift and --closest exclude each other", "the closest mix and a drift exclude each other",
	"--drift", "just noticeable differences",
	"--limit", "There are, g/L",
	"--within", "At most so many % dearer",
	"--count", "How many",
	"give it as NAME=+30%, NAME=8.50 or NAME=6..9", "give it as +30%, 8.50 or 6..9",
	"--stock", "In hand, kg:",
	"--monthly", "Made in a month, L:",
	"--keeps", "Keeps, months:",
	"--from", "New price from",
	// As sure as wanted.
	"guard needs --risk, such as --risk 0.01 for one batch in a hundred, or --curve", "One batch in so many may fail is empty: 100 for one batch in a hundred",
	"--risk", "One batch in so many may fail, as a risk of",
	"--each and --drawn exclude each other", "chances count each by itself or together, not both",
	"--bad goes with --method few-bad", "how many stray goes with lots that are few that stray at once",
	"--method", "Lots",
	"--bad", "lots that stray",
	"--assume", "Variation where none is known, %:",
	"--draws", "Draws",
	"--seed", "Another number for each tasting:",
	// Labels.
	"--nutrient", "Figures that the profiles do not know",
	"--size", "Label, width x height in mm:",
	"--bottle", "Bottle, diameter x height in mm:",
	" (see bittersum assess)", "",
	" (see bittersum blend)", "",
	" (see bittersum record)", "",
	// Plans.
	"--hedge takes all scenarios of the plan; leave out --if, --fails, --price and --demand", "any of these may happen takes all scenarios of the plan; empty the boxes under Or if",
	"--hedge needs", "any of these may happen needs",
	"--if:", "If:",
	"--fails", "this cannot be had:",
	"--demand", "demand moves:",
	"--price", "this price moves:",
	// Tastings and what batches teach.
	"fit needs records of batches, or --infusions: what was not measured tells nothing", "no record is ticked and no infusion is named: what was not measured tells nothing",
	"--attribute NAME, --base and --changed go together, both above zero", "The one attribute that was changed, from and to go together, both numbers above zero",
	"by --without ", "under Leave out, as ",
	"--without", "Leave out",
	"--into", "The profiles of this folder,",
	"--test", "Test",
	"--notice", "% of people who can tell:",
	"--power", "% of certainty:",
	"--alike", "% of people who may tell:",
	"--tasters", "Tasters",
)
