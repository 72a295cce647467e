package profile

// rule is what the law says of one thing, with the words read, and how the library holds it: each of held is
// a rule as describe writes it.
type rule struct {
	kind, about, citation, quote string
	held                         []string
}

// What was read of the law of the United States. The quotes are of the editions that the market names.
var lawUS = []rule{
	{"cap with cinchona", "cinchona-alkaloids", "21 CFR 172.510(b)", "In beverages only; not more than 83 p.p.m. total cinchona alkaloids in finished beverage", []string{"cinchona-alkaloids 83 mg/kg any with cinchona"}},
	{"cap", "quinine", "21 CFR 172.575", "In carbonated beverages as a flavor ... Not to exceed 83 parts per million, as quinine", []string{"quinine 83 mg/kg any"}},
	{"cap alcoholic with artemisia white-cedar oak-moss tansy yarrow", "thujone", "21 CFR 172.510(b)", "Finished food thujone free", []string{"thujone 10 mg/kg alcoholic with artemisia white-cedar oak-moss tansy yarrow"}},
	{"cap non-alcoholic with artemisia white-cedar oak-moss tansy yarrow", "thujone", "21 CFR 172.510(b)", "In beverages only; finished beverage thujone free (yarrow); Finished food thujone free (Artemisia, white cedar, oak moss)", []string{"thujone 0 mg/kg non-alcoholic with artemisia white-cedar oak-moss tansy yarrow"}},
	{"cap with camphor-tree sassafras", "safrole", "21 CFR 172.510(b)", "Safrole free", []string{"safrole 0 mg/kg any with camphor-tree sassafras"}},
	{"cap with cherry-pit cherry-laurel elder-leaf peach-leaf", "hydrocyanic-acid", "21 CFR 172.510(b)", `Not to exceed 25 p.p.m. prussic acid (cherry pits, cherry-laurel leaves; elder and peach leaves: "in the flavor")`, []string{"hydrocyanic-acid 25 mg/kg any with cherry-pit cherry-laurel elder-leaf peach-leaf"}},
	{"cap with kola", "caffeine", "21 CFR 182.1180", "Tolerance. 0.02 percent. ... generally recognized as safe when used in cola-type beverages", []string{"caffeine 200 mg/kg any with kola adding caffeine"}},
	{"cap non-alcoholic", "glycyrrhizin", "21 CFR 184.1408(c)", "Nonalcoholic beverages, Sec. 170.3(n)(3) ... 0.15", []string{"glycyrrhizin 1500 mg/kg non-alcoholic"}},
	{"cap alcoholic", "glycyrrhizin", "21 CFR 184.1408(c)", "Alcoholic beverages, Sec. 170.3(n)(2) ... 0.1", []string{"glycyrrhizin 1000 mg/kg alcoholic"}},
	{"cap", "benzoic-acid", "21 CFR 184.1021(d)", "Current usage results in a maximum level of 0.1 percent in food", []string{"benzoic-acid 1000 mg/kg any"}},
	{"cap", "benzoic-acid", "21 CFR 184.1733(d)", "Current usage results in a maximum level of 0.1 percent in food", []string{"benzoic-acid 847 mg/kg any adding benzoic-acid"}},
	{"cap non-alcoholic", "heptylparaben", "21 CFR 172.145", "In noncarbonated soft drinks and fruit-based beverages in amounts not to exceed 20 parts per million", []string{"heptylparaben 20 mg/kg non-alcoholic still", "heptylparaben 0 mg/kg non-alcoholic carbonated adding heptylparaben"}},
	{"cap alcoholic", "heptylparaben", "21 CFR 172.145", "In fermented malt beverages in amounts not to exceed 12 parts per million", []string{"heptylparaben 12 mg/kg alcoholic"}},
	{"cap non-alcoholic", "added-malic-acid", "21 CFR 184.1069(d)", "3.4 percent for nonalcoholic beverages", []string{"added-malic-acid 34000 mg/kg non-alcoholic"}},
	{"cap alcoholic", "added-malic-acid", "21 CFR 184.1069(d)", "0.7 percent for all other food categories", []string{"added-malic-acid 7000 mg/kg alcoholic"}},
	{"cap", "added-acetic-acid", "21 CFR 184.1005(d)", "0.15 percent or less for all other food categories", []string{"added-acetic-acid 1500 mg/kg any"}},
	{"cap alcoholic", "gum-arabic", "21 CFR 172.780", "Beverages, alcoholic 20.0 Thickener, emulsifier, or stabilizer", []string{"gum-arabic 200000 mg/kg alcoholic"}},
	{"permission", "cinchona", "21 CFR 172.510(b)", "In beverages only; not more than 83 p.p.m. total cinchona alkaloids", []string{"beverages-only cinchona any"}},
	{"permission", "quinine-hydrochloride quinine-sulfate", "21 CFR 172.575", "In carbonated beverages as a flavor", []string{"carbonated-only +quinine any"}},
	{"permission", "angola-weed arnica artichoke-leaf boldo bryony bogbean calumba", "21 CFR 172.510(b)", "In alcoholic beverages only", []string{"alcoholic-only angola-weed arnica artichoke-leaf boldo bryony bogbean calumba any"}},
	{"permission", "centaury chirata cork-oak costmary dittany", "21 CFR 172.510(b)", "In alcoholic beverages only", []string{"alcoholic-only centaury chirata cork-oak costmary dittany any"}},
	{"permission", "sandarac serpentaria simaruba blessed-thistle", "21 CFR 172.510(b)", "In alcoholic beverages only", []string{"alcoholic-only sandarac serpentaria simaruba blessed-thistle any"}},
	{"permission", "tansy", "21 CFR 172.510(b)", "In alcoholic beverages only; finished alcoholic beverage thujone free", []string{"alcoholic-only tansy any"}},
	{"permission", "yarrow", "21 CFR 172.510(b)", "In beverages only; finished beverage thujone free", []string{"beverages-only yarrow any"}},
	{"permission", "elecampane galanga-greater gentian-stemless germander iceland-moss iva lemon-verbena linden-leaf maidenhair-fern mullein myrtle oak-wood pansy white-pine poplar-bud red-saunders rhubarb-root roselle rosin veronica vervain vetiver woodruff elder-leaf peach-leaf", "21 CFR 172.510(b)", "In alcoholic beverages only", []string{"alcoholic-only elecampane galanga-greater gentian-stemless germander iceland-moss iva lemon-verbena linden-leaf maidenhair-fern mullein myrtle pansy white-pine poplar-bud red-saunders rhubarb-root roselle rosin veronica vervain vetiver woodruff elder-leaf peach-leaf any", "alcoholic-only english-oak oak-wood any"}},
	{"permission", "hypericum", "21 CFR 172.510(b)", "Hypericin-free alcohol distillate form only; in alcoholic beverages only", []string{"alcoholic-only hypericum any"}},
	{"permission", "tonka coumarin", "21 CFR 189.130", "Food containing any added coumarin as such or as a constituent of tonka beans or tonka extract is deemed to be adulterated", []string{"banned tonka +coumarin any"}},
	{"permission", "calamus calamus-tetraploid", "21 CFR 189.110", "Food containing any added calamus, oil of calamus, or extract of calamus is deemed to be adulterated", []string{"banned calamus calamus-tetraploid any"}},
	{"permission", "sassafras safrole", "21 CFR 189.180", "Food containing any added safrole, oil of sassafras, isosafrole, or dihydrosafrole, as such ... e.g., sassafras bark ... is deemed to be adulterated", []string{"banned sassafras +safrole any"}},
	{"", "gum arabic non-alcoholic", "21 CFR 184.1330", "Beverages and beverage bases, Sec. 170.3(n)(3) ... 2.0", []string{"gum-arabic 20000 mg/kg non-alcoholic with acacia adding gum-arabic"}},
	{"", "tannic acid", "21 CFR 184.1097", "Alcoholic beverages ... 0.015; Nonalcoholic beverages and beverage bases ... 0.005", []string{"tannic-acid 50 mg/kg non-alcoholic adding tannic-acid", "tannic-acid 150 mg/kg alcoholic adding tannic-acid"}},
	{"", "safflower as colour", "21 CFR part 73", "(no section in the 2015 list)", []string{"banned safflower any"}},
}

// The European texts; those of Regulation 1334/2008 were read in Polish, in the Official Journal.
var lawEU = []rule{
	{"cap alcoholic", "beta-asarone", "Regulation (EC) 1334/2008 Annex III Part B", "β-Azaron | Napoje alkoholowe | 1,0", []string{"beta-asarone 1 mg/kg alcoholic"}},
	{"cap non-alcoholic", "estragole", "Regulation (EC) 1334/2008 Annex III Part B", "estragol (*1) | Napoje bezalkoholowe | 10", []string{"estragole 10 mg/kg non-alcoholic"}},
	{"cap non-alcoholic", "methyleugenol", "Regulation (EC) 1334/2008 Annex III Part B", "metyloeugenol (*1) | Napoje bezalkoholowe | 1", []string{"methyleugenol 1 mg/kg non-alcoholic"}},
	{"cap non-alcoholic", "safrole", "Regulation (EC) 1334/2008 Annex III Part B", "safrol (*1) | Napoje bezalkoholowe | 1", []string{"safrole 1 mg/kg non-alcoholic"}},
	{"cap alcoholic", "hydrocyanic-acid", "Regulation (EC) 1334/2008 Annex III Part B", "Kwas cyjanowodorowy | Napoje alkoholowe | 35", []string{"hydrocyanic-acid 35 mg/kg alcoholic"}},
	{"cap non-alcoholic", "quassin", "Regulation (EC) 1334/2008 Annex III Part B", "Kwasyna | Napoje bezalkoholowe | 0,5", []string{"quassin 0.5 mg/kg non-alcoholic"}},
	{"cap alcoholic", "quassin", "Regulation (EC) 1334/2008 Annex III Part B", "Kwasyna | Napoje alkoholowe | 1,5", []string{"quassin 1.5 mg/kg alcoholic"}},
	{"cap alcoholic", "teucrin-a", "Regulation (EC) 1334/2008 Annex III Part B", "Teukryna A | Gorzkie napoje spirytusowe lub bitter 5 | Likiery o gorzkim smaku 5 | [third row's food is misprinted in this OJ] 2", []string{"teucrin-a 2 mg/kg alcoholic"}},
	{"cap alcoholic except artemisia", "thujone", "Regulation (EC) 1334/2008 Annex III Part B", "Tujony | Napoje alkoholowe, z wyjątkiem tych wytwarzanych z gatunków Artemisia | 10", []string{"thujone 10 mg/kg alcoholic except artemisia"}},
	{"cap alcoholic with artemisia", "thujone", "Regulation (EC) 1334/2008 Annex III Part B", "Napoje alkoholowe wytwarzane z gatunków Artemisia | 35", []string{"thujone 35 mg/kg alcoholic with artemisia"}},
	{"cap non-alcoholic with artemisia", "thujone", "Regulation (EC) 1334/2008 Annex III Part B", "Napoje bezalkoholowe wytwarzane z gatunków Artemisia | 0,5", []string{"thujone 0.5 mg/kg non-alcoholic with artemisia"}},
	{"cap alcoholic with mint", "menthofuran", "Regulation (EC) 1334/2008 Annex III Part B", "Mentofuran | Miętowe napoje alkoholowe | 200", []string{"menthofuran 200 mg/kg alcoholic with mint"}},
	{"cap non-alcoholic with mint", "pulegone", "Regulation (EC) 1334/2008 Annex III Part B", "Pulegon | Miętowe napoje bezalkoholowe | 20", []string{"pulegone 20 mg/kg non-alcoholic with mint"}},
	{"cap alcoholic with mint", "pulegone", "Regulation (EC) 1334/2008 Annex III Part B", "Pulegon | Miętowe napoje alkoholowe | 100", []string{"pulegone 100 mg/kg alcoholic with mint"}},
	{"cap non-alcoholic", "quinine", "Regulation (EC) 1334/2008 Annex I, FL 14.011/.152/.155", "In categories 14.1 and 14.2 - not more than 100 mg/kg", []string{"quinine 100 mg/kg no-spirit-drinks"}},
	{"cap alcoholic", "quinine", "Regulation (EC) 1334/2008 Annex I, FL 14.011/.152/.155", "In categories 14.1 and 14.2 - not more than 100 mg/kg; In spirit drinks as defined in Regulation (EC) No 110/2008 - not more than 250 mg/kg", []string{"quinine 100 mg/kg no-spirit-drinks", "quinine 250 mg/kg spirit-drinks"}},
	{"cap non-alcoholic", "benzoic-acid", "Regulation (EC) 1333/2008 Annex II Part E 14.1.4", "14.1.4, E 210-213, Benzoic acid - benzoates, 150, excluding dairy-based drinks", []string{"benzoic-acid 150 mg/l non-alcoholic"}},
	{"cap non-alcoholic", "sorbic-acid", "Regulation (EC) 1333/2008 Annex II Part E 14.1.4", "14.1.4, E 200-202, 300", []string{"sorbic-acid 300 mg/l non-alcoholic"}},
	{"cap non-alcoholic", "sorbic-acid", "Regulation (EC) 1333/2008 Annex II Part E 14.1.4", "14.1.4, E 200-202, 250, maximum applies if E 210 - 213 ... have also been used", []string{"sorbic-acid 250 mg/l non-alcoholic adding benzoic-acid"}},
	{"cap non-alcoholic", "quillaia-extract", "Regulation (EC) 1333/2008 Annex II Part E 14.1.4", "14.1.4, E 999, Quillaia extract, 200, Calculated as anhydrous extract", []string{"quillaia-extract 200 mg/l non-alcoholic"}},
	{"permission", "agaric-acid aloin capsaicin coumarin hypericin beta-asarone estragole hydrocyanic-acid menthofuran methyleugenol pulegone quassin safrole teucrin-a thujone", "Regulation (EC) 1334/2008 Annex III Part A", "Substancje, których nie dodaje sie do środków spożywczych: Kwas agarycynowy ... Tujony", []string{"banned +agaric-acid +aloin +capsaicin +coumarin +hypericin +beta-asarone +estragole +hydrocyanic-acid +menthofuran +methyleugenol +pulegone +quassin +safrole +teucrin-a +thujone any"}},
	{"permission", "calamus-tetraploid", "Regulation (EC) 1334/2008 Annex IV Part A", "Acorus calamus L - tetraploid", []string{"banned calamus-tetraploid any"}},
	{"permission", "quassia", "Regulation (EC) 1334/2008 Annex IV Part B", "Quassia amara ... wyłącznie do produkcji napojów i wyrobów piekarniczych", []string{"beverages-only quassia any"}},
	{"permission", "larch-agaric hypericum germander", "Regulation (EC) 1334/2008 Annex IV Part B", "Laricifomes officinales; Hypericum perforatum; Teucrium chamaedrys ... wyłącznie do produkcji napojów alkoholowych", []string{"alcoholic-only larch-agaric hypericum germander any"}},
	{"", "erythritol E 968", "Regulation (EC) 1333/2008 Annex II Part E", `14.1.4,E 968,Erythritol,16 000,,"only energy-reduced or with no added sugars, as flavour enhancer only"`, []string{"erythritol 16000 mg/l non-alcoholic adding erythritol", "energy-reduced-only +acesulfame-k +aspartame +cyclamate +saccharin +sucralose +neohesperidine-dc +steviol-glycosides +neotame +erythritol +advantame non-alcoholic", "banned +erythritol +thaumatin alcoholic"}},
	{"", "phosphoric acid E 338-452", "Regulation (EC) 1333/2008 Annex II Part E", "14.1.4,E 338-452 ... 700 ... expressed as P2O5", []string{"phosphates 700 mg/l non-alcoholic adding phosphates", "phosphates 1000 mg/l alcoholic adding phosphates"}},
	{"", "sulphites E 220-228 non-alcoholic", "Regulation (EC) 1333/2008 Annex II Part E", "only carry over from concentrates in non-alcoholic flavoured drinks containing fruit juice", []string{"sulphites 20 mg/l non-alcoholic"}},
	{"", "benzoic acid alcoholic", "Regulation (EC) 1333/2008 Annex II Part E", "14.2.8,E 210-213 ... 200", []string{"benzoic-acid 200 mg/l alcoholic below 15", "benzoic-acid 0 mg/l any from 15 adding benzoic-acid"}},
	{"", "sorbic acid alcoholic", "Regulation (EC) 1333/2008 Annex II Part E", "14.2.8,E 200-202 ... 200", []string{"sorbic-acid 200 mg/l alcoholic below 15", "sorbic-acid 0 mg/l any from 15 adding sorbic-acid"}},
	{"", "quillaia E 999 alcoholic", "Regulation (EC) 1333/2008 Annex II Part E", "E 999 in no row of 14.2.6, 14.2.8", []string{"quillaia-extract 0 mg/l alcoholic"}},
	{"", "yucca extract as foaming agent", "Regulation (EC) 1333/2008 Annex II Part E", "(no row)", []string{"banned yucca any"}},
	{"", "caffeine as flavouring", "Regulation (EC) 1334/2008 Annex I", "16.016 Caffeine: In category 14.1 - not more than 150 mg/kg", []string{"caffeine 150 mg/kg non-alcoholic adding caffeine"}},
	{"", "glycyrrhizic acid as flavouring", "Regulation (EC) 1334/2008 Annex I", "16.012 Glycyrrhizic acid: In category 14.1 - not more than 50 mg/kg; In category 14.2 - not more than 550 mg/kg", []string{"glycyrrhizin 50 mg/kg non-alcoholic adding glycyrrhizin", "glycyrrhizin 550 mg/kg alcoholic adding glycyrrhizin"}},
}

// The Food Standards Code of March 2025.
var lawAUNZ = []rule{
	{"cap", "quinine", "S19-6; S15-5 14.1.3, 14.2.3, 14.3", "Tonic drinks, bitter drinks and quinine drinks 100; Mixed alcoholic drinks not elsewhere classified 300; Wine based drinks 300", []string{"quinine 100 mg/kg non-alcoholic", "quinine 300 mg/kg alcoholic"}},
	{"cap alcoholic", "agaric-acid", "Food Standards Code S19-6", "Agaric acid ... Alcoholic beverages 100", []string{"agaric-acid 100 mg/kg alcoholic"}},
	{"cap alcoholic", "aloin", "Food Standards Code S19-6", "Aloin Alcoholic beverages 50", []string{"aloin 50 mg/kg alcoholic"}},
	{"cap alcoholic", "berberine", "Food Standards Code S19-6", "Berberine Alcoholic beverages 10", []string{"berberine 10 mg/kg alcoholic"}},
	{"cap alcoholic", "coumarin", "Food Standards Code S19-6", "Coumarin Alcoholic beverages 10", []string{"coumarin 10 mg/kg alcoholic"}},
	{"cap alcoholic", "hypericin", "Food Standards Code S19-6", "Hypericine Alcoholic beverages 2", []string{"hypericin 2 mg/kg alcoholic"}},
	{"cap alcoholic", "quassin", "Food Standards Code S19-6", "Quassine Alcoholic beverages 50", []string{"quassin 50 mg/kg alcoholic"}},
	{"cap alcoholic", "safrole", "Food Standards Code S19-6", "Safrole ... Alcoholic beverages 5", []string{"safrole 5 mg/kg alcoholic"}},
	{"cap alcoholic", "santonin", "Food Standards Code S19-6", "Santonin Alcoholic beverages 1", []string{"santonin 1 mg/kg alcoholic"}},
	{"cap alcoholic", "sparteine", "Food Standards Code S19-6", "Sparteine Alcoholic beverages 5", []string{"sparteine 5 mg/kg alcoholic"}},
	{"cap alcoholic", "thujone", "Food Standards Code S19-6", "Thujones ... Bitters 35 ... Alcoholic beverages 10", []string{"thujone 10 mg/kg alcoholic"}},
	{"cap alcoholic", "hydrocyanic-acid", "Food Standards Code S19-6", "Hydrocyanic acid, total ... Alcoholic beverages 1 mg per 1% alcohol content (project: 0.5 flat, stricter)", []string{"hydrocyanic-acid 1 mg/kg alcoholic for each % vol"}},
	{"cap", "pulegone", "Food Standards Code S19-6", "Pulegone ... Beverages 250", []string{"pulegone 250 mg/kg any"}},
	{"cap", "caffeine", "S15-5; Std 1.3.1-4(2); Std 2.6.4", "Cola type drinks Caffeine 145", []string{"caffeine 145 mg/kg any"}},
	{"permission", "calamus calamus-tetraploid aristolochia arnica areca borage horse-chestnut", "Food Standards Code Schedule 23", "Acorus calamus, Aristolochia spp., Arnica spp., Areca catechu, Borago officinalis, Aesculus hippocastanum", []string{"banned calamus calamus-tetraploid aristolochia arnica areca borage horse-chestnut any"}},
	{"", "sorbic acid", "S15-5", "14.1.3 Sorbic acid and sodium, potassium and calcium sorbates 400", []string{"sorbic-acid 400 mg/kg no-spirit-drinks", "sorbic-acid 0 mg/kg spirit-drinks adding sorbic-acid"}},
	{"", "benzoic acid", "S15-5", "Benzoic acid and sodium, potassium and calcium benzoates 400", []string{"benzoic-acid 400 mg/kg no-spirit-drinks", "benzoic-acid 0 mg/kg spirit-drinks adding benzoic-acid"}},
	{"", "sulphur dioxide", "S15-5", "Sulphur dioxide and sodium and potassium sulphites 115", []string{"sulphites 115 mg/kg non-alcoholic", "sulphites 250 mg/kg alcoholic"}},
	{"", "quillaia saponins", "S15-5", "Quillaia saponins (from Quillaia extract type 1 and type 2) 40", []string{"quillaia-saponins 40 mg/kg any adding quillaia-saponins"}},
	{"", "phosphoric acid in cola", "S15-5", "14.1.3.0.2 Cola type drinks ... 338 Phosphoric acid 570", []string{"phosphoric-acid 570 mg/kg non-alcoholic adding phosphoric-acid", "banned +phosphoric-acid alcoholic"}},
	{"", "sum of proportions for one purpose", "Std 1.3.1-6", "the sum of the proportions of these substances in the food must not be more than 1", []string{"preservatives-together benzoic-acid/400 sorbic-acid/400 sulphites/115 1 mg/kg non-alcoholic adding benzoic-acid sorbic-acid sulphites", "preservatives-together benzoic-acid/400 sorbic-acid/400 sulphites/250 1 mg/kg other-alcoholic adding benzoic-acid sorbic-acid sulphites"}},
	{"", "HCN in stone fruit juice", "S19-6", "Stone fruit juices 5", []string{"hydrocyanic-acid 5 mg/kg non-alcoholic with apricot cherry peach plum sour-cherry"}},
	{"", "boldo", "Schedule 23", "Peumus boldus", []string{"banned boldo bryony cherry-laurel any"}},
	{"", "bryony", "Schedule 23", "Bryonia alba; Bryonia dioica", []string{"banned boldo bryony cherry-laurel any"}},
	{"", "cherry-laurel", "Schedule 23", "Prunus laurocerasus", []string{"banned boldo bryony cherry-laurel any"}},
}

// What was read of labels, by market. The United Kingdom's declarations are those of the European text as kept.
var lawLabels = map[string][]rule{
	"us": {
		{"declaration", "quinine", "21 CFR 172.575", "Label shall bear a prominent declaration of the presence of quinine", []string{"contains quinine: quinine above 0 mg/kg any"}},
		{"declaration alcoholic", "GOVERNMENT WARNING: (1) Accord", "27 CFR 16.21", "GOVERNMENT WARNING: (1) According to the Surgeon General", []string{"GOVERNMENT WARNING: alcoholic"}},
		{"declaration", "juice", "21 CFR 101.30", "If the beverage contains less than 1 percent juice, the total percentage juice shall be declared as less than 1 percent juice", []string{"contains __ percent juice: juice above 0 g/100g any"}},
		{"declaration", "sulphites", "21 CFR 101.100(a)(4)", "A detectable amount of sulfiting agent is 10 parts per million or more of the sulfite in the finished food", []string{"contains sulfites: sulphites from 10 mg/kg any"}},
		{"declaration alcoholic", "vanillin", "TTB", "vanillin (40 ppm) ... or a combination of them, exceed ... must be labeled as imitation", []string{imitation}},
		{"declaration alcoholic", "ethyl-vanillin", "TTB", "ethyl vanillin (16 ppm)", []string{imitation}},
		{"declaration alcoholic", "maltol", "TTB", "maltol (250 ppm)", []string{imitation}},
		{"declaration alcoholic", "ethyl-maltol", "TTB", "ethyl maltol (100 ppm)", []string{imitation}},
		{"duty", processed, "21 CFR 120.1", "Any juice sold as such or used as an ingredient in beverages shall be processed in accordance with", []string{
			"juice that is used as an ingredient must be processed under a plan of hazard analysis and critical control points (HACCP): ask its supplier for it, or keep one where you press it yourself: juice above 0 g/100g any",
		}},
	},
	"eu": {
		{"declaration", "quinine", "Regulation (EU) 1169/2011 Annex VII Part D point 3", "Quinine and/or caffeine used as a flavouring in the production or preparation of a food shall be mentioned by name in the list of ingredients", []string{"flavouring (quinine): quinine above 0 mg/kg any in list"}},
		{"declaration with kola guarana", "caffeine", "Regulation (EU) 1169/2011 Annex VII Part D point 3", "Quinine and/or caffeine used as a flavouring in the production or preparation of a food shall be mentioned by name in the list of ingredients", []string{"flavouring (caffeine): caffeine above 0 mg/l any with kola guarana in list"}},
		{"declaration", "caffeine", "Regulation (EU) 1169/2011 Annex III point 4.1", "contain caffeine, from whatever source, in a proportion in excess of 150 mg/l", []string{"High caffeine content. Not recommended for children or pregnant or breast-feeding women (__ mg/100 ml): caffeine above 150 mg/l any"}},
		{"declaration", "glycyrrhizin", "Regulation (EU) 1169/2011 Annex III point 3.1", "10 mg/l or above ... unless the term liquorice is already included", []string{"contains liquorice: glycyrrhizin from 10 mg/l any unless listed liquorice"}},
		{"declaration non-alcoholic", "glycyrrhizin", "Regulation (EU) 1169/2011 Annex III point 3.3", "at concentrations of 50 mg/l or above", []string{"contains liquorice - people suffering from hypertension should avoid excessive consumption: glycyrrhizin from 50 mg/l non-alcoholic"}},
		{"declaration alcoholic", "glycyrrhizin", "Regulation (EU) 1169/2011 Annex III point 3.3", "of 300 mg/l or above in the case of beverages containing more than 1,2 % by volume of alcohol", []string{"contains liquorice - people suffering from hypertension should avoid excessive consumption: glycyrrhizin from 300 mg/l alcoholic"}},
		{"declaration", "polyols", "Regulation (EU) 1169/2011 Annex III point 2", "Foods containing both an added sugar or sugars and a sweetener or sweeteners authorised ... with sugar(s) and sweetener(s)", []string{"with sweetener(s): sweetener without sugar any", "with sugar(s) and sweetener(s): sweetener with sugar any"}},
		{"declaration", "polyols", "Regulation (EU) 1169/2011 Annex III point 2.4", "excessive consumption may produce laxative effects", []string{"excessive consumption may produce laxative effects: polyols above 10 g/100g any"}},
		{"declaration", "sulphites", "Regulation (EU) 1169/2011 Annex II point 12", "Sulphur dioxide and sulphites at concentrations of more than 10 mg/kg or 10 mg/litre in terms of the total SO2", []string{"contains sulphites: sulphites above 10 mg/l any in list"}},
		{"declaration alcoholic", "alc. __ % vol", "Regulation (EU) 1169/2011 Art", "indicated by a figure to not more than one decimal place. It shall be followed by the symbol % vol.", []string{"alc. __ % vol: alcoholic"}},
	},
	"au-nz": {
		{"declaration", "quinine", "Food Standards Code, Standard 1.2.3", "A food that contains quinine. the food contains quinine.", []string{"contains quinine: quinine above 0 mg/kg any"}},
		{"declaration with kola", "caffeine", "Food Standards Code, Standard 1.2.3", "A cola beverage that contains added caffeine. the product contains caffeine.", []string{"contains caffeine: caffeine above 0 mg/l any with kola"}},
		{"declaration with guarana", "guarana", "Food Standards Code, Standard 1.2.3", "A food that contains guarana or extracts of guarana. the food contains caffeine.", []string{"contains caffeine: any with guarana"}},
		{"declaration", "sulphites", "Food Standards Code, Standard 1.2.3", "added sulphites in concentrations of 10 mg/kg or more", []string{"contains sulphites: sulphites from 10 mg/kg any"}},
		{"declaration alcoholic", "__ % alcohol by volume", "Food Standards Code, Standard 2.7.1", "CONTAINS NOT MORE THAN X% ALCOHOL BY VOLUME", []string{"__ % alcohol by volume: alcoholic"}},
	},
}

const imitation = "imitation: ethyl-maltol/100 ethyl-vanillin/16 maltol/250 vanillin/40 above 1 alcoholic"

// labelsNotRead are declarations held as recalled.
var labelsNotRead = map[string][]string{
	"eu": {"contains a source of phenylalanine: aspartame above 0 mg/l any"},
}

// further are rules read besides.
var further = map[string][]rule{
	"us": {
		{"", "calcium chloride", "21 CFR 184.1193(d)", "0.22 percent for nonalcoholic beverages and beverage bases ... and 0.05 percent for all other food categories", []string{
			"calcium-chloride 2200 mg/kg non-alcoholic adding calcium-chloride", "calcium-chloride 500 mg/kg alcoholic adding calcium-chloride",
		}},
		{"", "saccharin", "21 CFR 180.37(d)(1)", "In beverages ... in amounts not to exceed 12 milligrams of the additive, calculated as saccharin, per fluid ounce", []string{
			"saccharin 405 mg/l any adding saccharin", "energy-reduced-only +saccharin any",
		}},
		{"", "white oak", "21 CFR 172.510(b)", "Oak, white, chips", []string{"permitted white-oak any"}},
		{"", "cyclamate", "21 CFR 189.135", "Food containing any added or detectable level of cyclamate is deemed to be adulterated", []string{"banned +cyclamate any"}},
		{"", "acesulfame-k", "21 CFR 172.800", "general-purpose sweetener ... in an amount not to exceed that reasonably required", []string{"permitted +acesulfame-k any"}},
		{"", "advantame", "21 CFR 172.803", "in an amount not to exceed that reasonably required", []string{"permitted +advantame any"}},
		{"", "aspartame", "21 CFR 172.804", "in accordance with good manufacturing practice as a sweetening agent", []string{"permitted +aspartame any"}},
		{"", "neotame", "21 CFR 172.829", "in an amount not to exceed that reasonably required", []string{"permitted +neotame any"}},
		{"", "sucralose", "21 CFR 172.831", "in an amount not to exceed that reasonably required", []string{"permitted +sucralose any"}},
		{"", "citric acid", "21 CFR 184.1033", "no limitation other than current good manufacturing practice", []string{"permitted E 330 any"}},
		{"", "ascorbic acid", "21 CFR 182.3013", "generally recognized as safe", []string{"permitted E 300 any"}},
		{"", "sorbic acid", "21 CFR 182.3089", "generally recognized as safe", []string{"permitted E 200 any"}},
	},
	"eu": {
		{"", "sulphites with alcohol", "Regulation (EC) 1333/2008 Annex II Part E", "14.2.8,E 220-228,...,only in fermented grape must-based drinks; an SO2 content of not more than 10 mg/kg or 10 mg/l is not considered to be present", []string{
			"sulphites 10 mg/l alcoholic",
		}},
		{"", "sweeteners", "Regulation (EC) 1333/2008 Annex II Part E", "14.1.4,E 950,350; E 951,600; E 952,250; E 954,80; E 955,300; E 957,0,5; E 959,30; E 960,80; E 961,20; E 969,6", []string{
			"acesulfame-k 350 mg/l non-alcoholic adding acesulfame-k", "aspartame 600 mg/l non-alcoholic adding aspartame",
			"cyclamate 250 mg/l non-alcoholic adding cyclamate", "saccharin 80 mg/l non-alcoholic adding saccharin",
			"sucralose 300 mg/l non-alcoholic adding sucralose", "thaumatin 0.5 mg/l non-alcoholic adding thaumatin",
			"neohesperidine-dc 30 mg/l non-alcoholic adding neohesperidine-dc", "steviol-glycosides 80 mg/l non-alcoholic adding steviol-glycosides",
			"neotame 20 mg/l non-alcoholic adding neotame", "advantame 6 mg/l non-alcoholic adding advantame",
		}},
		{"", "sweeteners with alcohol", "Regulation (EC) 1333/2008 Annex II Part E", "14.2.8,E 950,350; E 951,600; E 952,250; E 954,80; E 955,250; E 959,30; E 960,150; E 961,20; E 969,6", []string{
			"acesulfame-k 350 mg/l alcoholic below 15 adding acesulfame-k", "aspartame 600 mg/l alcoholic below 15 adding aspartame",
			"cyclamate 250 mg/l alcoholic below 15 adding cyclamate", "saccharin 80 mg/l alcoholic below 15 adding saccharin",
			"sucralose 250 mg/l alcoholic below 15 adding sucralose",
			"neohesperidine-dc 30 mg/l alcoholic below 15 adding neohesperidine-dc", "steviol-glycosides 150 mg/l alcoholic below 15 adding steviol-glycosides",
			"neotame 20 mg/l alcoholic below 15 adding neotame", "advantame 6 mg/l alcoholic below 15 adding advantame",
		}},
	},
	"au-nz": {
		{"", "sweeteners", "Food Standards Code, Schedule 15", "14.1.3 ... 950 Acesulphame potassium 3 000; 952 Cyclamates 350; 954 Saccharin 150; 956 Alitame 40; 960 Steviol glycosides 200", []string{
			"acesulfame-k 3000 mg/kg non-alcoholic adding acesulfame-k", "cyclamate 350 mg/kg non-alcoholic adding cyclamate",
			"saccharin 150 mg/kg non-alcoholic adding saccharin", "alitame 40 mg/kg non-alcoholic adding alitame",
			"steviol-glycosides 200 mg/kg non-alcoholic adding steviol-glycosides",
			"banned +acesulfame-k +cyclamate +saccharin +alitame +steviol-glycosides alcoholic",
		}},
		{"", "sum for sweeteners", "Food Standards Code, Standard 1.3.1-6", "the sum of the proportions of these substances in the food must not be more than 1", []string{
			"sweeteners-together acesulfame-k/3000 alitame/40 cyclamate/350 saccharin/150 steviol-glycosides/200 1 mg/kg non-alcoholic adding acesulfame-k alitame cyclamate saccharin steviol-glycosides",
		}},
		{"", "quinine and caffeine", "Food Standards Code, Schedule 16", "*Permitted flavouring substances, excluding quinine and caffeine", []string{
			"banned +quinine spirit-drinks", "banned +caffeine alcoholic",
		}},
		{"", "additives at GMP", "Food Standards Code, Schedule 16", "Aspartame 951, Advantame 969, Erythritol 968, Neotame 961, Sucralose 955, Thaumatin 957; 260 270 296 330 331 332 334; 300; 414 422", []string{
			"permitted +aspartame +sucralose +neotame +thaumatin +advantame +erythritol any",
			"permitted E 260 E 270 E 296 E 330 E 331 E 332 E 334 any", "permitted E 300 any", "permitted E 414 E 422 any",
		}},
	},
}

// notRead are rules held as recalled: no text of them was read.
var notRead = map[string][]string{
	"us": {
		"thujone 10 mg/kg alcoholic with artemisia white-cedar oak-moss tansy yarrow", // "thujone free" was read, the circular's figure was not
		"permitted E 270 E 331 E 332 E 334 E 338 any", "permitted E 202 any", "permitted E 422 any", "permitted E 150a any", "permitted quillaja yucca any",
	},
	"eu": {
		"permitted E 260 E 270 E 296 E 330 E 331 E 332 E 334 any", "permitted E 300 any", "permitted E 414 E 422 any", "permitted E 150a any",
	},
	"au-nz": {"permitted E 150a any"},
}
