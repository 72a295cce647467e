package kettle

// JudgedPlan is how a plan is judged before it is shown.
var JudgedPlan = judged
