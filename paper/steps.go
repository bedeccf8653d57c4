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
	boxes    func() []Row         // what is written by hand without power
}{
	{OrderStep, writer.order, blankOrder},
	{ReadinessStep, nil, blankReadiness},
	{ReceiptStep, writer.receipt, blankReceipt},
	{AssayStep, writer.assay, blankAssay},
	{PlanStep, writer.plan, blankPlan},
	{DrawStep, writer.draws, blankDraw},
	{DecisionStep, writer.decision, blankDecision},
	{MakeUpStep, writer.makeUps, blankMakeUp},
	{TransferStep, writer.containers, blankTransfer},
	{ReleaseStep, writer.checks, blankRelease},
	{InfusionStep, writer.infusions, blankInfusion},
	{ResidualStep, writer.residual, blankResidual},
	{SurveyStep, nil, blankSurvey},
	{WasteStep, nil, blankWaste},
}

// Steps lists the steps in the order of the work.
func Steps() []Step {
	var steps []Step
	for _, w := range work {
		steps = append(steps, w.Step)
	}
	return steps
}
