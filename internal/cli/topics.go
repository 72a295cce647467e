package cli

import "github.com/spf13/cobra"

// newTopics returns help pages that are no commands: bittersum help TOPIC.
func newTopics() []*cobra.Command {
	return []*cobra.Command{
		{Use: "brief-file", Short: "The keys of a brief, lots, price list and recipe", Long: briefTopic},
		{Use: "plan-file", Short: "The keys of a plan", Long: planTopic},
		{Use: "profile-file", Short: "The keys of an ingredient of your own", Long: profileTopic},
		{Use: "json", Short: "What the JSON answers hold", Long: jsonTopic},
	}
}

const briefTopic = `A brief is a TOML file. Each key carries its unit; a wrong key or value is refused
with its line and the nearest right name.

  name                  what the drink is called
  kind                  "drink" (the default) or "blend": a mixture that is no drink
  markets               places of sale, such as ["us", "eu"]; all their caps hold
  use                   the ingredients that may be used
  currency              a code that money is printed with; EUR when left out
  [exchange]            what one of another currency costs in it, by code: USD = 0.92
  carbonated            true when sold with dissolved carbon dioxide
  alcohol_percent       strength of the finished drink, % by volume; 0 when left out.
                        The recipe holds it, up to 0.2 more
  spirit_drink          true or false, asked from 15 % where rules turn on it: made by
                        distilling, or of spirit with plants, flavourings or sugar,
                        and no drink based on wine, beer or cider
  energy_reduced        true where it has at least 30 % less energy than its like
  assurance             the share of lots below the content that caps are judged
                        with; 0.95 when left out
  bottle_ml, batch_l    for costs, and to know how far a lot goes
  prices, lots          files beside the brief
  today                 the recipe that is made today, a file beside it: blend sets its
                        answer beside that
  register              the register of batches beside it, which batch --record and
                        record --draw add to (see bittersum register)
  keeps_months          how long a bottle keeps, for its best-before
  profiles              a folder of profiles beside the brief, over the library's

  throw                 "1+5": five parts of soda are added to one part of what is
                        made. Amounts, limits, bottles and costs count on the syrup,
                        targets and caps on the drink as served
  carbon_dioxide_g_per_l  or carbon_dioxide_volumes: the gas of the drink as served
  filling_temperature_c, serving_temperature_c, headspace_share  for the pressure in
                        the bottle: it is closed at 4 degrees with 4 % of air when
                        left out; pH and haze are reckoned at the serving temperature
                        too (haze at 4 degrees when left out)
  [water]               a water report, as texts with their unit ("80 mg/L", "2 meq/L",
                        "14 °dH", "120 mg/L CaCO3"): alkalinity, hardness, calcium,
                        magnesium, sodium, potassium, chloride, sulfate; for the water
                        and the soda of a throw. Pure when left out
  [heat]                celsius and minutes of a step of heat, or log: a CSV file with
                        the columns minutes,celsius

  [targets.ph]          min, max from 1.5 to 8, of the drink as served
  [targets.brix]        min, max: what a refractometer shows, in degrees Brix
  [targets.density]     min, max in kg/L at 20 degrees
  [targets.acidity]     min, max in g/L; end_point (8.2 when left out) and as, the acid
                        it is expressed as: citric (when left out), malic, tartaric,
                        lactic, acetic
  [targets.ATTRIBUTE]   min, max in the attribute's unit (profiles list attributes)
  [ratios.NAME]         of, over (attributes, or brix), min, max: amount over amount
  [limits.INGREDIENT]   min_g_per_l, max_g_per_l or fixed_g_per_l; price_per_kg;
                        price_sd_per_kg (its deviation, for stress);
                        supply_kg for the batch, as bought; stock_only
  [groups.NAME]         members, min_g_per_l, max_g_per_l
  [[scale]]             division_g; from_g, to_g, name; for (the only ingredients it
                        measures, such as a meter for water)
  [instruments.NAME]    error (in the unit of what is measured) and error_share: how
                        far a measurement may be off. NAME is brix, ph,
                        acidity_g_per_l, density_kg_per_l, alcohol_percent, litres,
                        marc_kg, bottles or an attribute (a laboratory's value). When
                        left out: 0.2, 0.05, 2 %, 0.001, 0.2, 1 %, 5 %, 0, and 5 %
  [packs.INGREDIENT]    kg; whole (only whole packs are weighed in); least_packs
  [losses]              the share of the liquor lost at each step you name; or
                        { share = 0.04, sd = 0.01 } where it varies, for stress
  [extraction.INGREDIENT]  method (one of its profile), extractions with fresh liquor
  [[accept]]            ingredient, substance, reason: an unknown content of a capped
                        substance that the maker takes upon himself
  [attributes.NAME]     an attribute of your own
  [[ingredient]]        an ingredient of your own. By plants (profiles list plants)
                        or by category, such as "acid", "sweetener", "flavouring",
                        the law's rules find it; other_plants are those that nothing
                        here knows
  [[preparation]]       what you make of ingredients in the house: name, title, kind,
                        basis, yield_l or yield_kg, lost_as ("liquor", "water"),
                        alcohol_percent, labour_per_kg, cautions, the parts under
                        [preparation.grams] by name or NAME/LOT, and
                        [preparation.extraction.INGREDIENT]: method, extractions,
                        recovery by attribute, hold_up_l_per_g, soluble_share,
                        solutes_share, basis

A blend has unit, sells_at_per_unit and [total] min, max instead of markets, and
limits and groups with min, max, fixed.

Lots are [[lot]] tables: number, ingredient, quantity_kg, price_per_kg, pack_kg,
received, best_before, state ("accepted", "held", "refused" with a reason) and
moisture_share and
certificate values under [lot.contents.ATTRIBUTE] (per_g, sd, recovery, cap_recovery,
and sure: why a value far from the profile is right). [lot.correlations] says how its
contents go together, as [ingredient.correlations] does, in the place of the profile's
and of certificate values too. What batches took stands in [[draw]] tables: lot,
batch, kg, on and record, the id of the batch's record. A lots file may be CSV
instead: the same names as columns (contents.ATTRIBUTE.per_g), and rows with number,
batch, drawn_kg, drawn_on, drawn_record for what batches took.
A lot may say supplier and delivery_note. What else befell it stands in [[change]]
tables: lot, what (hold, release, refuse, write-off, adjust), kg, reason, by, on; in
CSV rows with number, change, change_kg, reason, by, changed_on.

A price list is CSV or a workbook (.xlsx) with the columns ingredient and price_per_kg,
or ingredient, price and pack_kg; currency, or a code or sign beside the price or in
the heading, says what they are in. More columns may stand beside them. Lots and
recipes may be workbooks too; they are read and never written. Commas, semicolons and
tabs, decimal commas and parted thousands are read; a number that may be two is
refused. Headings and names in other words: bittersum help words.

A recipe is TOML with amounts under [grams_per_litre] ([amounts] for a
blend), or a table with the columns ingredient and grams_per_litre (ingredient,
amount).`

const profileTopic = `An ingredient of your own is an [[ingredient]] table in a brief or in a file in
profiles/ingredients beside it; bittersum profiles new NAME --kind KIND writes one to
fill in, and bittersum profiles from TABLE makes them of a spreadsheet.
What is neither given nor called absent is unknown, never zero.

  name, title, kind     small letters, digits and hyphens; what people call it; one of
                        the kinds that profiles new --help lists
  basis, source         where the figures come from: published (needs source), practice,
                        memory, invented, measured
  price_per_kg          or price_per_unit in a blend; price_basis, price_source
  labour_per_kg         preparation, per kg weighed in
  soluble_share         of its mass, the share that ends in the liquor (a juice: 1)
  specific_volume_ml_per_g  volume of that share: dry solids 0.62, water 1.0018
  hold_up_l_per_g       liquor that a gram keeps once it is spent
  trimming_loss         share that is cut off before weighing in
  customary_max_g_per_l the most that drinks as served are customarily made with; a
                        recipe takes no more unless the brief says how much it may
  physical_basis, physical_source  of these
  moisture_share        water in it as weighed in
  contents_on           "as-is" (when left out), or "dry": stated on the dry substance
  plants                the plants it comes from, as profiles list plants has them;
                        rules of markets go by them
  other_plants          plants that no profile and no rule knows: named as not judged
  pure                  true for a purified substance: it carries nothing else
  label_name, label_parts  its name on the label; the parts of a compound ingredient
  category, e_number    class and number of an additive
  start                 "hot or sour" for a plant that cold, neutral water spoils
  allergens             what must be declared, such as "sulphites"
  cautions              what whoever weighs it must know

  [ingredient.contents]  by attribute a number per gram, or a table: per_g (per_unit in
                        a blend), sd, recovery, cap_recovery, basis, source; shape
                        between lots (lognormal when left out, normal, uniform,
                        triangular); or values = [...] of measured lots for per_g, sd
                        measured_on: "whole" (when left out) or the extract it is of,
                        as a bitterness value is of a "decoction"; recovery is then
                        a share of that
  usual_method          hot-infusion, decoction, cold-maceration or with-alcohol:
                        what the recoveries belong to
  unknown               attributes that nothing is known of
  [ingredient.absent]   attributes, families that it carries none of; basis, source
  [ingredient.correlations]  how contents go together from lot to lot, -1 to 1, of their
                        logarithms: quinine = { bitterness = 0.9 }; basis, source
  [ingredient.solutes]  acids and ions as NAME_mmol_per_g, basis, source:
                        1000 x the share of the mass / the molar mass;
                        recalled: those of them that are recalled all the same
  [ingredient.methods.NAME]  a way to extract it: recovery by attribute, soluble_share,
                        hold_up_l_per_g, solutes_share, basis, source

Single figures that were measured stand over a profile from profiles/measured/*.toml, as
bittersum fit writes them: [[measured]] tables with ingredient, from (which batches),
contents.ATTRIBUTE = { per_g, sd, recovery }, methods.NAME.recovery, solutes_factor; and
[[noticed]] tables with attribute, from and jnd or jnd_share.
A file of bench infusions for fit has [[infusion]] tables: name, ingredient, lot, grams,
water_g, minutes, celsius, method, measured = { bitterness = 195, ph = 4.9 }.

Bitterness is in mg of quinine hydrochloride equivalents: what tastes as bitter at its
threshold, so that 5 mg/L is just bitter in water. Far above the threshold two bitter
substances of the same figure need not seem equally bitter. A point per litre of an aroma
is just recognised by half of the tasters, one of a colour is an absorbance of 0.001 in a
1 cm cell; see profiles show ATTRIBUTE.`

const jsonTopic = `Every JSON answer names its schema and its number in "schema". Under one number fields
are only ever added. A number that does not exist (an open end, an unknown) is null.

bittersum/blend/1
  brief, status         "optimal" or "infeasible"
  answer                the assessment of the recipe, as below
  least_cost            before amounts were rounded
  limits                kind, name, side, value, line or market, binding; down and up:
                        cost_per_unit and the value "to" which it holds; "blocked" when
                        nothing lies to that side
  unused                ingredient, price_now, enters_below (null: at no price)
  alternatives          other recipes of the same cost
  proof                 status, exact, objective as a fraction; of the floating-point
                        answer: primal_residual, dual_residual, gap, iterations
  second_opinion        status, cost, agrees
  today                 file, recipe that is made today, costs_more_per_litre, drift
  conflict              limits that exclude each other; relaxations: the value "to"
                        which one of them would have to move, and the cost there

bittersum/guard/1       of guard
  status                "sure", "not so sure" or "infeasible"
  risk, method, counting, targets_too  what was asked
  cheapest, recipe      assessments, as below; dearer_per_litre between them
  chance_at_most        found on fresh draws; unknown_besides: caps that it leaves out
  proved_bound_per_litre  no recipe that keeps the deviations free costs less
  limits                deviations_kept_free, allowed, broken (chance), binding
  surest, in_the_way    when no recipe is so sure
bittersum/assurance/1   of guard --curve: levels, each with risk, cost_per_litre (null
                        where no recipe was found), more, chance_at_most, knee
bittersum/next/1        of guard --next: measurements, each with ingredient, attribute,
                        variation, saves_per_litre, chance_at_most_then

bittersum/fit/1         of fit
  contents              ingredient, attribute, method, lot; what reaches the drink of a
                        gram by_profile and now, with deviations; next_lot_sd; told,
                        far_off_profile, batches
  measurements          value, error, by_profiles, as_fitted, off_deviations, outlier
  told_together         pairs that the measurements tell apart badly; condition_number

bittersum/panel/1       of taste panel: samples, variance, tasters, scale (mark = factor x
                        strength^exponent), ingredients with per_g; seems, for --of
bittersum/noticed/1     of taste noticed: tests with p and d_prime; just_noticed with low
                        and high

bittersum/assess/1
  brief, kind, currency
  recipe                ingredient, lot, amount (in amount_unit), cost
  filled_with_water     true when the recipe named no water
  litres_recovered, density_kg_per_l, cost, cost_per_bottle, cost_per_batch
  meets_brief, keeps_caps, misses
  judged_by_rules_on    the classes of rules of which each market holds some
  no_rules_held_on      the other classes
  attributes            name, value, unit, target (min, max), verdict, unknown_in
  ratios                name, value, target (min, max), verdict
  uses                  name, group, value, allowed (min, max), verdict
  caps                  substance, market, citation, unconfirmed, max, guarded, expected,
                        head_room_share, holds, accepted_unknown_in
  readings              ph, brix, density: name, value, unit, target, verdict
  throw_parts_of_soda   when the drink is thrown
  served, syrup         what instruments will show: ph_25_c, highest_ph_25_c,
                        ph_as_served (celsius, ph, highest_ph), ph_is_rough,
                        titratable_acidity_g_per_l, _as, _end_point_ph,
                        buffer_capacity_mmol_per_l_per_ph, ionic_strength_mol_per_l,
                        refractometer_bx, dissolved_solids_percent,
                        density_20_c_kg_per_l, specific_gravity_20_20,
                        viscosity_20_c_mpa_s, viscosity_served_mpa_s (as of sugar; no
                        target: ask for brix),
                        acids_unknown_in, ions_unknown_in
  carbonation           carbon_dioxide_g_per_l, volumes, pressures (when, celsius,
                        gauge_bar), headspace_share, closed_at_celsius, soda_g_per_l
                        (what the soda of a throw must bring), bursts_when_warm
  fermentation          sugars_g_per_l, fermented_g_per_l and the gauge_bar_25_c that
                        they make, stands_between (it and yeast),
                        heat_units_60_c_z_7, heat_units_80_c_z_10
  preservation          ph, acid_food_ph, source, preservatives (name,
                        mg_per_l_as_acid, undissociated_share, undissociated_mg_per_l,
                        capped_in), benzoate_with_ascorbic_acid
  tastes                name, quality, amount, reference, unit, times_the_reference,
                        low, high, exponent, basis, source, limits
  cautions              text, from
  notes, rests_on       in the answers of blend, assess and batch: on which figures the
                        recipe rests. kind (target, cap or cost), name, market,
                        recalled_or_invented_share, share_by_basis ("given": a price of
                        the maker's own), contributions (ingredient, share, basis),
                        unknown_in

bittersum/swap/1
  short                 name, most
  today, swap           assessments, as above; costs_more_per_litre
  drift                 jnd in all; attributes: name, unit, before, after, jnd, count
  trade                 the least cost at each drift, from the closest to the cheapest
  cannot_be_replaced    name, before, nearest, unit
  set_aside, proof, conflict

bittersum/reach/1
  attribute, unit, asked, cheapest_at
  stretches             from, to, cost_from, cost_to, slope_from, slope_to, enter, leave,
                        binding
  recipes               value, recipe, proof: at every end of a stretch
  below, above          the limits beyond which there is no recipe
  ends_at_custom        the road up ends at the most that drinks are made with

bittersum/region/1
  x, x_unit, y, y_unit, today
  corners               x, y, cost, binding_to_next, recipe, proof

bittersum/reprice/1
  prices                name, today, from, to
  today                 an assessment
  pieces                from_share and to_share of the way, prices, cost and kept at both
                        ends, recipe, proof
  unused                as in bittersum/blend/1, at the last prices
  buying_plan           per_month_kg, needed_before_kg, buy_ahead_kg, spoils_kg,
                        lasts_until, change_over, saves_over_keeping,
                        saves_over_changing, keeping_costs_a_month

bittersum/alternatives/1
  within_share, cheapest, proof
  alternatives          recipe, different_share, drift, does_without, adds

bittersum/compare/1
  names, a, b, proof_a, proof_b, drift

bittersum/lp/1
  status, objective     and bound for integers; columns (value, reduced_cost, at), rows
                        (activity, dual, at); farkas or ray when there is no optimum;
                        certificate, proof, second_opinion

bittersum/lots/1
  items                 lots: number, ingredient, quantity_kg, left_kg, price_per_kg,
                        received, best_before, state, reason, not_usable_because,
                        contents (per_g, sd), supplier, delivery_note, changed_kg; of
                        lots stock: ingredient, usable_kg, barred_kg, value,
                        some_without_price; of lots trace: batch, lot, ingredient, kg,
                        on

bittersum/register/1
  items                 entries: what, batch, at, record, brief, brief_sha256, program,
                        rules_sha256, litres, plan_g, weighed_g, lots_used, measured,
                        made_on, verdict, findings, by, reason, bottles, lot_code,
                        best_before, to, on. Of lots trace --register: batch, made,
                        decided, lots, goods, sold, bottles_left. Of register check:
                        entries, torn_lines, seal

bittersum/batch/1
  batch, status         "planned", "infeasible" (with conflict), "infeasible first
                        expiring first" or "scales too coarse"
  litres_asked, planned_on, lots_used
  lines                 step, ingredient, lot, best_before, grams, division_g, scale,
                        loads, take_g (before trimming), pack_kg, packs to open,
                        left_in_pack_g, left_in_lot_kg, cost, price_from,
                        bitterness_from
  steps                 name, do, expect (litres, kg, density_kg_per_l, brix,
                        acidity_g_per_l, ph)
  holds                 after, ask, measure, unit, expect, min, max, from
  yield                 litres, served_l, liquor_l, held_back_l, lost_l, marc_kg,
                        trimmings_kg, bottles, over_l
  shopping              ingredient, need_kg, barred_kg on the shelf, order_kg, pack_kg,
                        packs, least_packs, price_per_kg, price_from, cost; make:
                        ingredient, need_kg of a preparation of the house
  cost                  total, least_without_divisions, first_out, rounding, bound,
                        gap_share, nodes, search_done; allowance: what it costs,
                        allowance_asked_share, allowance_kept_share
  assessment            as above, of the grams of the whole batch
  too_coarse            search_done (without any), doses (source, ideal_g,
                        division_g), litres_that_do, litres_tried

bittersum/record/1
  batch, made_on, sound, missing, wrong
  verdict               meets, meets within the instruments' error, incomplete, misses,
                        must not be sold; says: in a sentence
  findings              class (note, within the error, missed, must not be sold), text,
                        to_do
  correction            found, add (source, g), litres and cost with it, says
  weighed               ingredient, lot, planned_g, weighed_g, off_g, notable
  measured              name, planned, value, error of the instrument; follows: what
                        should be found by what was weighed, and follows_error
  assessment            as above, of what was weighed

bittersum/label/1
  labels                market; lines: part, wording, rule (citation, text), note,
                        for_the_maker when nothing of it is printed; panel: title,
                        columns, rows (name, indent, amounts, daily_value), below,
                        rules, notes

bittersum/profiles/1
  items                 the ingredients, attributes, plants or markets asked for. Of a
                        market: caps, permissions, declarations, each with class,
                        citation, edition and text; classes_held and classes_lacking
                        (class, title, rules_seen, rules_recalled, what). A preparation
                        has made_of (parts, yield_l, yield_kg, held_back_l, lost_l,
                        lost_as, alcohol_percent) and at_least, what is known of its
                        unknown contents. Of profiles sources: by_basis, and by_kind,
                        by_attribute, by_ingredient: name, figures, by_basis, zeros,
                        unknown`
