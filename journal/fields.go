package journal

import "strings"

// Field is one field of a fact as forms and lists show it.
type Field struct {
	// Path names it in the fact, such as "gross" or "before.rate".
	Path string
	// Label is what a person calls it.
	Label string
	// Text is what it holds, as a record writes it, the items of a list with a
	// comma between; empty where it holds nothing.
	Text string
	// Must tells that an entry cannot be without it.
	Must bool
	// List tells that it holds several items, Number that it is written without
	// quotes in a case file.
	List, Number bool
}

// Fields gives the fields of a fact in their order, those that hold nothing
// included. Groups are opened where they are given; the fields of a list of
// groups come once for each.
func Fields(f Fact) []Field { return fieldsUnder(nil, f.fields(nil), f.Kind(), "", "") }

// fieldsUnder appends the fields of a group. path is where the group stands,
// word where the label of its fields is looked up.
func fieldsUnder(out []Field, fields []field, kind, path, word string) []Field {
	for _, d := range fields {
		at, word := under(path, d.name), under(word, d.name)
		switch v := d.v.(type) {
		case grouped:
			if v.given() {
				out = fieldsUnder(out, v.open().fields(nil), kind, at, word)
			}
		case chosen:
			if v.given() {
				with := v.fact()
				out = fieldsUnder(out, with.fields(nil), with.Kind(), under(at, with.Kind()), "")
			}
		case listed:
			out = fieldsOfList(out, v, Field{Path: at, Must: d.must, List: true}, kind, word)
		default:
			out = append(out, leafOf(v, Field{Path: at, Label: LabelOf(kind, word), Must: d.must}))
		}
	}
	return out
}

// fieldsOfList appends the fields of each group of a list, or one field with
// all its scalars.
func fieldsOfList(out []Field, v listed, to Field, kind, word string) []Field {
	var texts []string
	n := 0
	if v.given() {
		n = v.len()
	}
	for i := range n {
		switch x := v.at(i).(type) {
		case grouped:
			out = fieldsUnder(out, x.open().fields(nil), kind, to.Path, word)
		default:
			texts = append(texts, leafOf(x, Field{}).Text)
		}
	}
	if n > 0 && texts == nil {
		return out
	}
	to.Label, to.Text = LabelOf(kind, word), strings.Join(texts, ", ")
	return append(out, to)
}

// leafOf puts what a scalar holds into a field.
func leafOf(v value, to Field) Field {
	s, ok := v.(scalar)
	if !ok {
		return to
	}
	_, to.Number = v.(unquoted)
	if v.given() {
		to.Text, _ = s.write() // what was read can be written
	}
	return to
}

func under(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

// LabelOf is what a person calls a field of a kind: the word of the kind, else the
// word that all kinds share; empty for what is no field.
func LabelOf(kind, path string) string {
	if l := labels[kind+"."+path]; l != "" {
		return l
	}
	return labels[path]
}

// labels are the fields in the words of the trade, by their path: those of one
// kind, and those that mean the same in every kind.
var labels = map[string]string{
	"at": "When", "by": "By", "for": "Order", "from": "From", "into": "Into", "of": "Container", "meter": "Activity meter", "text": "Remark",
	"reason": "Reason", "confirmed": "Asked about, and confirmed", "volume": "Volume", "gross": "Reading, as displayed", "background": "Background", "background-u": "Uncertainty of the background",
	"source": "Reading came from", "line": "Line as the meter sent it", "background-source": "Background came from", "background-line": "Line of the background as sent",
	"serial": "Label", "countersigned": "Countersigned by", "place": "Place", "activity": "Activity", "version": "Version of the order",
	"patient": "Identifier on the wristband", "territory": "Territory", "lot": "Lot", "zone": "Zone", "use": "What the journal is for", "half-life": "Half-life", "half-life-u": "Uncertainty of the half-life",

	"order.id": "Id of the order", "order.prescribed": "Prescribed activity at infusion", "order.at": "Planned infusion", "order.residual": "Residual to allow for",
	"order.by": "Prescribed by", "receive.vial": "Id of the vial", "receive.labelled": "Labelled activity", "receive.reference": "Reference date and time on the label",
	"receive.at": "Received at", "receive.expiry": "Expiry", "receive.pack": "Code on the pack", "read.by": "Read by", "read.for": "Residual parts of order", "read.holds": "Residual parts in it",
	"draw.into": "Syringe", "draw.volume": "Volume drawn", "draw.agitated": "Resuspended at", "draw.scanned": "Scanned on the vial", "draw.trusted": "Settling clock: draw begun within", "draw.of-mixed": "Settling clock: expected, of mixed",
	"draw.model": "Settling clock: rests on", "draw.by": "Drawn by", "return.volume": "Volume returned", "makeup.volume": "Volume added", "makeup.diluent": "Diluent", "makeup.lot": "Lot of the diluent",
	"transfer.into": "Administration vial", "transfer.volume": "Volume transferred", "discard.into": "Waste item", "discard.volume": "Volume discarded",
	"infuse.start": "Started", "infuse.stop": "Stopped", "infuse.reason": "Why it ended", "infuse.catheter": "Kind of catheter",
	"residual.before.at": "Baseline read at", "residual.before.rate": "Baseline dose rate", "residual.before.background": "Background of the baseline",
	"residual.after.at": "Residual read at", "residual.after.rate": "Residual dose rate", "residual.after.background": "Background of the residual",
	"note.text": "Note", "check.what": "Check", "check.of": "Meter", "check.result": "Result", "survey.rate": "Dose rate, with background", "survey.wipe": "Removable contamination",
	"agitate.of": "What was resuspended", "verify.activity": "Checker's own figure of the dose at infusion", "verify.shared": "Shared reading: entry", "label.size": "Label for", "label.copy": "Copy",
	"label.into": "Administration vial", "label.printed.activity": "Printed activity", "label.printed.reference": "At", "label.printed.volume": "Printed volume",
	"label.printed.valid-from": "Printed: valid from", "label.printed.valid-until": "Printed: valid until", "label.printed.half-life": "Printed half-life",
	"label.printed.lot": "Printed lot", "label.printed.dose": "Printed: dose", "label.printed.doses": "Of how many doses",
	"override.code": "Finding", "handover.to": "Taken by", "timeout.activity": "Activity read out", "timeout.with": "Together with",
	"exposure.who": "Person", "exposure.finger": "Finger dose", "exposure.body": "Body dose", "paper.first": "First entry", "paper.last": "Last entry", "paper.sheet": "Sheet", "paper.by": "Written by",
	"reassign.container": "Container with the dose", "reassign.from": "From order", "reassign.to": "To order",
	"near-miss.step": "Step", "near-miss.what": "What was refused", "near-miss.scanned": "Scanned",
	"deviation.text": "What went wrong", "correct.entry": "Entry", "correct.reason": "What was wrong, and how it is known", "correct.with": "As it should be",
	"learned.up-to": "Up to record", "learned.yields": "Draw yields", "learned.residuals": "Residuals", "learned.yields.vial": "Vial", "learned.yields.by": "Drawn by", "learned.yields.q": "Draw yield",
	"learned.yields.u": "Its standard uncertainty", "learned.yields.cases": "Cases", "learned.yields.own": "Own cases", "learned.residuals.vial": "Vial", "learned.residuals.fraction": "Residual",
	"learned.residuals.u": "Its standard uncertainty", "learned.residuals.cases": "Cases", "learned.residuals.activity": "Residual activity", "learned.residuals.activity-u": "Its standard uncertainty", "learned.residuals.own": "Own cases",
	"reading-curve.at": "Resuspended at", "reading-curve.readings": "Readings", "reading-curve.readings.since": "Time since resuspension", "reading-curve.readings.gross": "Reading, as displayed",

	"meter.id": "Activity meter", "meter.calibration-u": "Uncertainty of the calibration", "meter.repeatability": "Repeatability", "meter.geometry": "Factors",
	"meter.geometry.shipping-vial": "Shipping vial", "meter.geometry.shipping-vial.factor": "Shipping vial: factor", "meter.geometry.shipping-vial.u": "Shipping vial: uncertainty of the factor", "meter.geometry.shipping-vial.basis": "Shipping vial: calibration basis", "meter.geometry.shipping-vial.fill": "Shipping vial: fill volume",
	"meter.geometry.syringe": "Syringe", "meter.geometry.syringe.factor": "Syringe: factor", "meter.geometry.syringe.u": "Syringe: uncertainty of the factor", "meter.geometry.syringe.basis": "Syringe: calibration basis", "meter.geometry.syringe.fill": "Syringe: fill volume",
	"meter.geometry.administration-vial": "Administration vial", "meter.geometry.administration-vial.factor": "Administration vial: factor", "meter.geometry.administration-vial.u": "Administration vial: uncertainty of the factor", "meter.geometry.administration-vial.basis": "Administration vial: calibration basis", "meter.geometry.administration-vial.fill": "Administration vial: fill volume",
	"meter.geometry.residual-parts": "Residual parts", "meter.geometry.residual-parts.factor": "Residual parts: factor", "meter.geometry.residual-parts.u": "Residual parts: uncertainty of the factor", "meter.geometry.residual-parts.basis": "Residual parts: calibration basis", "meter.geometry.residual-parts.fill": "Residual parts: fill volume",
	"meter.geometry.waste-item": "Waste item", "meter.geometry.waste-item.factor": "Waste item: factor", "meter.geometry.waste-item.u": "Waste item: uncertainty of the factor", "meter.geometry.waste-item.basis": "Waste item: calibration basis", "meter.geometry.waste-item.fill": "Waste item: fill volume",

	"policy.tolerance":                "Tolerance of a dose",
	"policy.limit":                    "Limit of the site",
	"policy.label-tolerance":          "Tolerance of the supplier's label",
	"policy.confidence":               "Confidence wanted",
	"policy.label-drift":              "Bound of a printed label",
	"policy.makeup":                   "Volume after make-up, from and to",
	"policy.graduation":               "Smallest division of the syringe",
	"policy.draw-yield.q":             "Draw yield",
	"policy.draw-yield.u":             "Standard uncertainty of the draw yield",
	"policy.residual-u":               "Uncertainty of a residual by dose rate",
	"policy.basis":                    "Prescriptions are written on the scale of",
	"policy.learn":                    "Plans rest on the site's own finished draws",
	"policy.order-signature":          "A release needs the order signed",
	"policy.take-over":                "Time-out and infusion need the dose taken over",
	"policy.limits.area-rate":         "Limit: dose rate of a place, less background",
	"policy.limits.area-wipe":         "Limit: removable contamination of a place",
	"policy.limits.hands-rate":        "Limit: dose rate at the hands, less background",
	"policy.limits.hands-wipe":        "Limit: contamination of the hands",
	"policy.limits.package-rate":      "Limit: dose rate at a package, less background",
	"policy.limits.package-wipe":      "Limit: removable contamination of a package",
	"policy.limits.finger":            "Limit: finger dose of one entry",
	"policy.limits.body":              "Limit: body dose of one entry",
	"policy.verdicts.conforms":        "Your term for: conforms",
	"policy.verdicts.unsure":          "Your term for: within tolerance, confidence too low",
	"policy.verdicts.outside":         "Your term for: outside tolerance",
	"policy.verdicts.beyond-limit":    "Your term for: beyond your limit",
	"policy.settling.bore":            "Settling clock: inner diameter of the shipping vial",
	"policy.settling.cone":            "Settling clock: height of the pointed floor",
	"policy.settling.tip":             "Settling clock: needle tip above the lowest point",
	"policy.settling.draw-time":       "How long a draw takes",
	"policy.settling.within":          "How far a draw may depart from the mixed vial",
	"policy.settling.temperature":     "Temperature of the suspension",
	"policy.settling.spheres":         "Number of spheres in a vial as it comes",
	"policy.settling.sphere-activity": "Activity of one sphere at the reference time",
	"policy.settling.diameter":        "Mean diameter of the spheres",
	"policy.settling.diameter-sd":     "Standard deviation of the diameters",
	"policy.settling.density":         "Density of the spheres",
	"policy.check-limit":              "Second check: largest difference from the record", "policy.check-reads": "Second check: may be made by reading",
}
