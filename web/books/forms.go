package books

import (
	"vialwright/web/kit"
	"vialwright/web/words"
)

// ReceivePart receives a vial; free is an id that it may get.
func ReceivePart(free string) kit.Part {
	return kit.Part{Kind: "receive", Inputs: []kit.Input{
		{Name: "vial", Focus: true, Hint: "Such as " + free + ": write it on the shield."},
		{Name: "lot"},
		{Name: "labelled"},
		{Name: "reference", Kind: "text", Hint: "Such as 2027-03-04T18:00, with the offset where the label is in another zone: 2027-03-04T18:00+01:00."},
		{Name: "volume"},
		{Name: "expiry", Kind: "text", Hint: "Such as 2027-03-05T18:00."},
		{Name: "pack", Collapsible: true, Incidental: true, Hint: "Scan it at the top of the page: lot and expiry are then filled in."},
		{Name: "parcel", Collapsible: true, Incidental: true, Hint: "As it was entered under Parcels; leave it empty where it was not."},
		{Name: "at", Must: true},
	}}
}

// SurveyPart surveys a place, which is asked for where it is empty.
func SurveyPart(place string, optional bool) kit.Part {
	p := kit.Part{Kind: "survey", Optional: optional}
	before := ""
	if place == "" {
		p.Inputs = []kit.Input{{Name: "place", Small: true}}
	} else {
		p.Fixed = map[string]any{"place": place}
		before = place + ": "
	}
	p.Inputs = append(p.Inputs,
		kit.Input{Name: "rate", Label: words.Sentence(before + "dose rate, background included"), Unit: "uSv/h", Practice: kit.PracticeSays("0.2")},
		kit.Input{Name: "background", Label: words.Sentence(before + "background"), Unit: "uSv/h", Practice: kit.PracticeSays("0.2")},
		kit.Input{Name: "wipe", Label: words.Sentence(before + "removable contamination"), Unit: "Bq/cm2", Practice: kit.PracticeSays("0.1")},
		kit.Input{Name: "text", Small: true, Collapsible: true, Incidental: true},
		kit.Input{Name: "at"},
	)
	return p
}

// SignWord is the word of the form with which a physician signs an order, on its
// bench.
const SignWord = "sign-order"

// CompleteWord is the word of the form with which a physician completes an order after
// its infusion.
const CompleteWord = "complete-order"
