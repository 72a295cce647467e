package words

// tongues are what ingredients are called in German, French, Italian and Spanish (memory), by the library's
// names: they only bring the right one up among those offered.
var tongues = map[string][]string{
	"water":                 {"wasser", "eau", "acqua", "agua", "trinkwasser"},
	"sugar":                 {"zucker", "sucre", "zucchero", "azúcar", "kristallzucker", "saccharose", "sucrose", "rübenzucker", "granulated sugar"},
	"citric-acid":           {"zitronensäure", "citronensäure", "acide citrique", "acido citrico", "ácido cítrico", "e330", "e 330"},
	"malic-acid":            {"apfelsäure", "acide malique", "acido malico", "ácido málico", "e296"},
	"tartaric-acid":         {"weinsäure", "acide tartrique", "acido tartarico", "ácido tartárico", "e334"},
	"lactic-acid":           {"milchsäure", "acide lactique", "acido lattico", "ácido láctico", "e270"},
	"ascorbic-acid":         {"ascorbinsäure", "vitamin c", "acide ascorbique", "acido ascorbico", "ácido ascórbico", "e300"},
	"lemon-juice":           {"zitronensaft", "jus de citron", "succo di limone", "zumo de limón"},
	"lemon-peel":            {"zitronenschale", "écorce de citron", "zeste de citron", "scorza di limone", "piel de limón"},
	"orange-peel":           {"orangenschale", "écorce d'orange", "scorza d'arancia", "piel de naranja"},
	"bitter-orange-peel":    {"pomeranzenschale", "bitterorangenschale", "écorce d'orange amère", "scorza d'arancia amara", "piel de naranja amarga"},
	"gentian-root":          {"enzianwurzel", "racine de gentiane", "radice di genziana", "raíz de genciana"},
	"quassia-wood":          {"quassiaholz", "bitterholz", "bois de quassia", "legno di quassio", "leño de cuasia"},
	"quinine-hydrochloride": {"chininhydrochlorid", "chinin hcl", "quinine hcl", "chlorhydrate de quinine", "cloridrato di chinina", "clorhidrato de quinina", "chinin", "quinine"},
	"quinine-sulfate":       {"chininsulfat", "sulfate de quinine", "solfato di chinina", "sulfato de quinina", "chinin", "quinine"},
	"cinchona-bark-red":     {"rote chinarinde", "chinarinde", "écorce de quinquina", "corteccia di china", "corteza de quina"},
	"cinchona-bark-yellow":  {"gelbe chinarinde", "chinarinde", "écorce de quinquina", "corteccia di china", "corteza de quina"},
	"coriander-seed":        {"koriandersamen", "koriander", "graines de coriandre", "semi di coriandolo", "semillas de cilantro"},
	"cardamom":              {"kardamom", "cardamome", "cardamomo"},
	"caramel-colour":        {"zuckerkulör", "zuckercouleur", "caramel", "e150d", "colorant caramel"},
	"gum-arabic":            {"gummi arabicum", "gomme arabique", "gomma arabica", "goma arábiga", "e414"},
	"black-tea":             {"schwarztee", "schwarzer tee", "thé noir", "tè nero", "té negro"},
	"invert-syrup":          {"invertzuckersirup", "sirop inverti", "sciroppo invertito", "jarabe invertido"},
	"honey":                 {"honig", "miel", "miele"},
	"neutral-spirit":        {"neutralalkohol", "primasprit", "weingeist", "ethanol", "alcool neutre", "alcool", "alcohol"},
	"potassium-sorbate":     {"kaliumsorbat", "sorbate de potassium", "sorbato di potassio", "sorbato potásico", "e202"},
	"sodium-benzoate":       {"natriumbenzoat", "benzoate de sodium", "benzoato di sodio", "benzoato sódico", "e211"},
	"sodium-citrate":        {"natriumcitrat", "trinatriumcitrat", "citrate de sodium", "citrato di sodio", "e331"},
	"salt":                  {"salz", "kochsalz", "sel", "sale", "sal"},
}

// InTongues returns what an ingredient of that name is called elsewhere.
func InTongues(name string) []string { return tongues[name] }
