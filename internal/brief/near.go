package brief

// Near asks a recipe to taste, smell and look like another: the sum over attributes of the difference,
// each counted in just noticeable differences, is at most Within.
type Near struct {
	Marks  []Mark
	Within float64
}

// Mark is the value that an attribute has in the other recipe, and what difference is just noticed, both
// in the attribute's unit of the drink.
type Mark struct {
	Attribute  string
	Value, JND float64
}
