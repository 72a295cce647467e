package cli

const planTopic = `A plan is a TOML file beside its briefs. Amounts of ingredients are in kilograms,
of goods (bottles, closures) in pieces, of drinks in litres as made; of blends, in
units: then every _kg and _l below ends in _units and _unit. A number for each
period can be one number for all of them, or a list of as many.

  name, currency        as in a brief; the briefs count in the same currency
  start, periods        the first day (2027-01-01) and how many periods there are
  period                "month" (when left out) or "week"
  goal                  "least cost" (when left out) or "most margin"
  others                "list price": what no supplier offers is bought as needed at the
                        price that the brief has for it; else it is an error
  budget_per_period     what orders may cost, with freight, in each period
  effort                a whole number: how much more to search for whole packs, orders
                        and batches; 1 when left out
  [rates]               CURRENCY = how many of the plan's currency one of it is

  [[drink]]             brief (a file, or demo:NAME), name
    demand_l            what is sold in each period; or least_l and most_l
    price_per_l         what a litre fetches; short_per_l what a litre costs that cannot
                        be sold (when left out all must be)
    waits_periods       how many periods bottles may wait; wait_cost_per_l for each
    cost_per_l, hours_per_l  beside ingredients, and of the kettle
    goods_per_l         { bottle-250 = 4, closure = 4 }: pieces for each litre
    recipe              "free" (when left out): it may differ in each period; or "held":
                        it stays until it is changed
    changes, change_cost  how often a held recipe may change, and what a change costs
    notice_periods      for how long today's recipe must stay; now is its file
    drift               the most just noticeable differences at a change

  [[supplier]]          name; freight_per_order, least_order (money), lead_days
  [[offer]]             supplier, item, price_per_kg (price_per_piece), currency
    changes             [{ from = 2027-05-01, price_per_kg = 52 }]: later prices
    price_until         the last day that the supplier's prices hold
    last_order          the last day of an order; months are those it can be ordered in
    pack_kg             the size of a pack: whole packs are ordered
    least_kg, most_kg   of an order
    discounts           [{ from_kg = 500, percent = 4 }]; discount_on is "whole order"
                        (when left out) or "what is above"
    lead_days           in place of the supplier's
  [item.NAME]           keeps_months or keeps_days from the day it comes; loss_percent a
                        period; cold; safety_kg at the end of each period, closing_kg at
                        the end of the plan, opening_kg at its start beside the lots of
                        the briefs; room_kg; cost_per_kg kept for a period
    fades_percent       { aroma-citrus = 5 }: what of a content is lost each month, or one
                        number for all that may fade; see below
    opening_received    the day on which opening_kg came; from then on it keeps and fades
  [store]               space_kg, cold_space_kg; cost_per_kg kept for a period
  [kettle]              batch_l, least_batch_l; most_l_per_period, hours_per_period;
                        hours_per_batch, cost_per_batch; cleaning_hours, cleaning_cost
                        for each drink made in a period
  [[scenario]]          name, probability, events: [{ supplier or item or drink, fails,
                        price_percent, demand_percent, from, to }], for --if and --hedge

Orders are placed on the first day of a period at the price of that day, and can be
used from the first period that begins lead_days later. What is left at the end of
the plan is worth nothing: ask for closing_kg where something must be.

What fades_percent names is multiplied by (1 - percent / 100) for each month since it
came, of a lot since it was received. Recipes then take it by its age, in months on the
first day of the period in which it is used: lemon-juice@2; NAME/LOT@4.5 and
NAME/opening@3 are as much older. What fades within that period does not count, so leave
targets as much room. A drink meets its targets with what is left. Caps count contents
as delivered, whatever has faded: less than that is never assumed of what is
restricted. So of a drink may fade what is tasted (but for acidity and sugars), smelt
and seen of it, and ascorbic-acid with the acid that it is; what is restricted,
preserves or is dissolved may not. Of a blend anything may. What is bought as needed is
fresh. A drink whose recipe is held takes nothing that fades, and no preparation does:
both are refused.
`
