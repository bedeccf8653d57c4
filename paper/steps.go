package paper

// Step is a step of the work. Sheets and blank sheets show the steps in the
// same order, so that what was written by hand is found again when it is
// typed in.
type Step string

// The steps, in the order of the work.
const (
	OrderStep     Step = "Order"
	ReadinessStep Step = "Readiness"
	ReceiptStep   Step = "Receipt of the vial"
	AssayStep     Step = "Assay of the vial"
	PlanStep      Step = "Plan of the draw"
	DrawStep      Step = "Draw"
	DecisionStep  Step = "Assay after the draw, and decision"
	MakeUpStep    Step = "Make-up"
	TransferStep  Step = "Transfer"
	ReleaseStep   Step = "Independent check, labels, release"
	InfusionStep  Step = "Time-out and infusion"
	ResidualStep  Step = "Residual and delivered activity"
	SurveyStep    Step = "Surveys and contamination"
	WasteStep     Step = "Waste"
)

// work is what each step shows, in the order of the work.
var work = []struct {
	Step
	recorded func(writer) Section // nil where its entries say all
}{
	{OrderStep, writer.order},
	{ReadinessStep, nil},
	{ReceiptStep, writer.receipt},
	{AssayStep, writer.assay},
	{PlanStep, writer.plan},
	{DrawStep, writer.draws},
	{DecisionStep, writer.decision},
	{MakeUpStep, writer.makeUps},
	{TransferStep, writer.containers},
	{ReleaseStep, writer.checks},
	{InfusionStep, writer.infusions},
	{ResidualStep, writer.residual},
	{SurveyStep, nil},
	{WasteStep, nil},
}

// Steps lists the steps in the order of the work.
func Steps() []Step {
	var steps []Step
	for _, w := range work {
		steps = append(steps, w.Step)
	}
	return steps
}
