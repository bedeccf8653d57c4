package web

// receivePart receives a vial; free is an id that it may get.
func receivePart(free string) part {
	return part{kind: "receive", inputs: []input{
		{name: "vial", focus: true, hint: "Such as " + free + ": write it on the shield."},
		{name: "lot"},
		{name: "labelled"},
		{name: "reference", kind: "text", hint: "Such as 2027-03-04T18:00, with the offset where the label is in another zone: 2027-03-04T18:00+01:00."},
		{name: "volume"},
		{name: "expiry", kind: "text", hint: "Such as 2027-03-05T18:00."},
		{name: "pack", fold: true, aside: true, hint: "Scan it at the top of the page: lot and expiry are then filled in."},
		{name: "at", must: true},
	}}
}

// surveyPart surveys a place, which is asked for where it is empty.
func surveyPart(place string, optional bool) part {
	p := part{kind: "survey", optional: optional}
	before := ""
	if place == "" {
		p.inputs = []input{{name: "place", small: true}}
	} else {
		p.fixed = map[string]any{"place": place}
		before = place + ": "
	}
	p.inputs = append(p.inputs,
		input{name: "rate", label: sentence(before + "dose rate, background in it"), unit: "uSv/h", practice: practiceSays("0.2")},
		input{name: "background", label: sentence(before + "background"), unit: "uSv/h", practice: practiceSays("0.2")},
		input{name: "wipe", label: sentence(before + "removable contamination"), unit: "Bq/cm2", practice: practiceSays("0.1")},
		input{name: "text", small: true, fold: true, aside: true},
		input{name: "at"},
	)
	return p
}

// SignWord is the word of the form with which a physician signs an order, on its
// bench.
const signWord = "sign-order"
