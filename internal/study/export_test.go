package study

// BudgetBound is budgetBound, for tests.
var BudgetBound = budgetBound
