package material

const (
	textbook  = "Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, appendix A, table A.1"
	dataBook  = "heat-transfer data book, table of metals at 20 °C"
	alloyBook = "titanium alloy tables, physical properties"
)

// The uncertainties of the specific heats, all judged from the spread of
// sources and none from a statement of theirs.
const (
	// Two handbooks differ by 1 % for aluminium of pot grade, 903 against 892
	// J/(kg·K), and alloys of one family by 2 to 3 %.
	twoColumns = 0.02
	// One figure for the whole rise leaves its growth out, up to 3 % to the
	// middle of the rise and one-sided.
	oneFigure = 0.03
	// For titanium a published formula, 669.0 − 0.037188·T − 1.080e7/T², stands
	// 3 % above the textbook at 300 K and 6 % at 400 K; 6 % taken as the half-width
	// of a rectangle.
	titaniumSpread = 0.04
)

// table lists the materials, commonest pots first. Specific heats in J/(kg·K).
var table = []Material{
	{
		Name:        "aluminium",
		Others:      []string{"alu", "pure aluminium", "al"},
		Density:     2702,
		At300:       903,
		At400:       949,
		Uncertainty: twoColumns,
		Source:      textbook,
		Note:        "pure aluminium stands for the alloys that pots and cans are made of",
	},
	{
		Name:        "hard-anodised aluminium",
		Others:      []string{"hard-anodized aluminium", "anodised aluminium", "anodized aluminium", "HAA"},
		Density:     2702,
		At300:       903,
		At400:       949,
		Uncertainty: oneFigure,
		Source:      textbook,
		Note:        "the row of aluminium; a film of 25 to 50 µm a side (from memory) on 1 mm of sheet lowers the figure by 1 to 2 %, which the uncertainty covers",
	},
	{
		Name:        "titanium",
		Others:      []string{"ti", "pure titanium"},
		Density:     4500,
		At300:       522,
		At400:       551,
		Uncertainty: titaniumSpread,
		Source:      textbook,
	},
	{
		Name:        "stainless steel",
		Others:      []string{"stainless", "304", "304 stainless steel", "stainless steel 304", "18/8", "18/10", "AISI 304"},
		Density:     7900,
		At300:       477,
		At400:       515,
		Uncertainty: twoColumns,
		Source:      textbook,
		Note:        "grade 304, which a label that names no grade is taken for (common practice, no source); specific heats from memory",
	},
	{
		Name:        "stainless steel 316",
		Others:      []string{"316", "316 stainless steel", "AISI 316"},
		Density:     8238,
		At300:       468,
		At400:       504,
		Uncertainty: twoColumns,
		Source:      textbook,
	},
	{
		Name:        "stainless steel 347",
		Others:      []string{"347", "347 stainless steel", "AISI 347"},
		Density:     7978,
		At300:       480,
		At400:       513,
		Uncertainty: twoColumns,
		Source:      textbook,
	},
	{
		Name:        "copper",
		Others:      []string{"cu", "pure copper"},
		Density:     8933,
		At300:       385,
		At400:       397,
		Uncertainty: twoColumns,
		Source:      textbook,
	},
	{
		Name:        "brass",
		Others:      []string{"cartridge brass", "brass 70/30"},
		Density:     8530,
		At300:       380,
		At400:       395,
		Uncertainty: twoColumns,
		Source:      textbook,
		Note:        "cartridge brass, 70 % copper and 30 % zinc",
	},
	{
		Name:        "carbon steel",
		Others:      []string{"steel", "mild steel", "plain carbon steel", "tin-plated steel", "tinplate"},
		Density:     7854,
		At300:       434,
		At400:       487,
		Uncertainty: twoColumns,
		Source:      textbook,
		Note:        "a coat of tin is too thin to count; enamelled steel is another matter, its glass is a fifth of the mass, and stands in no table here",
	},
	{
		Name:        "aluminium alloy 3004",
		Others:      []string{"3003", "3004", "3104", "aluminium 3003", "aluminium 3004", "aluminium 3104", "aluminium alloy 3003", "aluminium alloy 3104", "can aluminium"},
		Density:     2720,
		At300:       893,
		Uncertainty: oneFigure,
		Source:      "alloy data sheets, from memory",
		Note:        "alloys 3003, 3004 and 3104; density 2720 to 2730 kg/m³; one figure for the whole rise",
	},
	{
		Name:        "Al-Mg-Si sheet",
		Others:      []string{"AlMgSi", "6061", "aluminium 6061"},
		Density:     2707,
		At300:       892,
		Uncertainty: oneFigure,
		Source:      dataBook,
		Note:        "one figure for the whole rise",
	},
	{
		Name:        "titanium grade 1",
		Others:      []string{"grade 1 titanium"},
		Density:     4510,
		At300:       520,
		Uncertainty: titaniumSpread,
		Source:      alloyBook,
		Note:        "one figure for the whole rise",
	},
	{
		Name:        "titanium grade 2",
		Others:      []string{"grade 2 titanium"},
		Density:     4510,
		At300:       523,
		Uncertainty: titaniumSpread,
		Source:      alloyBook,
		Note:        "one figure for the whole rise",
	},
	{
		Name:        "titanium grade 5",
		Others:      []string{"grade 5 titanium", "Ti-6Al-4V"},
		Density:     4430,
		At300:       526,
		Uncertainty: titaniumSpread,
		Source:      alloyBook,
		Note:        "density from memory; one figure for the whole rise",
	},
}
