package fact

import (
	"reflect"
	"slices"
	"strings"
	"sync"
	"time"

	"vialwright/identity"
	"vialwright/people"
	"vialwright/quantity"
)

// declaration is one field of a group as its tags declare it.
type declaration struct {
	name, label string
	must        bool
	of          About // what it is the id of
	// index leads to the field, at makes its value from a pointer to the field.
	index []int
	at    func(p any) Value
}

// declarations are those of each group that was asked for, since a journal has few
// kinds and very many facts.
var declarations sync.Map

// Slots appends the fields of a group as they are declared.
func Slots(dst []Slot, g Group) []Slot {
	v := reflect.ValueOf(g).Elem()
	all := declarationOf(v.Type())
	dst = slices.Grow(dst, len(all))
	for i := range all {
		d := &all[i]
		dst = append(dst, Slot{d.name, d.must, d.at(v.FieldByIndex(d.index).Addr().Interface()), d.label})
	}
	return dst
}

func declarationOf(group reflect.Type) []declaration {
	if all, known := declarations.Load(group); known {
		return all.([]declaration)
	}
	all := declare(nil, group, nil)
	declarations.Store(group, all)
	return all
}

// declare appends the fields of a struct. Those of an embedded struct stand among
// them, unless it is a field itself.
func declare(out []declaration, group reflect.Type, under []int) []declaration {
	for i := range group.NumField() {
		f := group.Field(i)
		d := declaration{label: f.Tag.Get("label"), of: About(f.Tag.Get("id")), index: append(under[:len(under):len(under)], i)}
		var field bool
		if d.name, d.must = f.Tag.Lookup("must"); !d.must {
			d.name, field = f.Tag.Lookup("may")
		}
		switch {
		case d.must || field:
			d.at = placeOf(f)
			out = append(out, d)
		case f.Anonymous:
			out = declare(out, f.Type, d.index)
		}
	}
	return out
}

// placeOf says what is read into a field, by its type and its tags.
func placeOf(f reflect.StructField) func(p any) Value {
	if of, ok := f.Tag.Lookup("id"); ok {
		return func(p any) Value { return id{p.(*string), About(of)} }
	}
	if what, ok := f.Tag.Lookup("per"); ok {
		return func(p any) Value { return counting{p.(*Number), " " + what, "a number", "3 " + what, false} }
	}
	if words, ok := f.Tag.Lookup("like"); ok {
		return func(p any) Value {
			return list{reflect.ValueOf(p).Elem(), words, 1, MostExperience, false, func(group any) Value { return item{group} }}
		}
	}
	for _, r := range readings {
		if r.of == f.Type && r.as == f.Tag.Get("as") {
			return r.at
		}
	}
	if f.Type.Kind() == reflect.Pointer {
		return GroupAt
	}
	panic("fact: nothing says how " + f.Name + " is read")
}

// reading is how a field of a type is read: the tag as chooses where there are several
// ways.
type reading struct {
	of reflect.Type
	as string
	at func(p any) Value
}

func readAs[T any](as string, at func(*T) Value) reading {
	return reading{reflect.TypeFor[T](), as, func(p any) Value { return at(p.(*T)) }}
}

// words is a type that takes one of a few words.
func words[T ~string](list ...T) reading {
	return readAs("", func(p *T) Value { return oneWord[T]{p, list} })
}

var readings = []reading{
	readAs("", amount[quantity.Activity]),
	readAs("", amount[quantity.Volume]),
	readAs("", amount[quantity.Fraction]),
	readAs("", amount[quantity.DoseRate]),
	readAs("", amount[quantity.MeterRate]),
	readAs("", amount[quantity.Length]),
	readAs("", amount[quantity.Temperature]),
	readAs("", amount[quantity.Contamination]),
	readAs("", amount[quantity.DoseEquivalent]),
	readAs("", amount[quantity.Mass]),
	readAs("", amount[quantity.AbsorbedDose]),
	readAs("", amount[quantity.Area]),
	readAs("", amount[quantity.CountRate]),
	readAs("", amount[quantity.Span]),

	readAs("", func(p *string) Value { return text{p} }),
	readAs("zone", func(p *string) Value { return patterned{p, zoneName} }),
	readAs("line", func(p *string) Value { return patterned{p, rawLine} }),
	readAs("origin", func(p *string) Value { return patterned{p, origin} }),
	readAs("finding", func(p *string) Value { return findingCode{id{p, aboutNothing}} }),
	readAs("container", func(p *string) Value { return oneWord[string]{p, Containers()} }),
	readAs("day", func(p *string) Value { return patterned{p, calendarDay} }),
	readAs("clock", func(p *string) Value { return patterned{p, wallClock} }),
	readAs("days", func(p *string) Value { return patterned{p, weekDays} }),
	readAs("shifts", func(p *string) Value { return patterned{p, shifts} }),
	readAs("sketch", func(p *string) Value { return patterned{p, sketchLines} }),

	readAs("", func(p *time.Time) Value { return instant{p} }),
	readAs("printed", func(p *time.Time) Value { return printed{instant{p}} }),
	readAs("", func(p *int) Value { return whole{p, entryNumber} }),
	readAs("count", func(p *int) Value { return whole{p, howMany} }),
	readAs("copy", func(p *int) Value { return whole{p, printNumber} }),
	readAs("", func(p *Number) Value { return number{p, 0} }),
	readAs("hundredths", func(p *Number) Value { return number{p, 100} }),
	readAs("tally", func(p *Number) Value { return counting{p, " counts", "counts", "118 counts", true} }),
	readAs("density", func(p *Number) Value { return density{counting{p, " g/cm3", "a density", "1.6 g/cm3", false}} }),
	readAs("", func(p *Allowance) Value { return allowance{p} }),
	readAs("", func(p *identity.Serial) Value { return serial{p} }),

	readAs("", func(p *[]quantity.Stated[quantity.MeterRate]) Value {
		return ListAt(p, wants[reflect.TypeFor[quantity.MeterRate]()].want+", or a list of them", 1, mostItems, true, amount[quantity.MeterRate])
	}),
	readAs("", func(p *[]Geometry) Value {
		return ListAt(p, "{factor: 1, u: 0 %, basis: label}, or a list of them with fill", 1, mostItems, true, ItemAt[Geometry])
	}),
	readAs("", func(p *[]people.Role) Value {
		return ListAt(p, "a list of roles: "+strings.Join(strs(people.Roles()), ", "), 1, len(people.Roles()), true, func(p *people.Role) Value { return oneWord[people.Role]{p, people.Roles()} })
	}),
	readAs("", func(p **Range) Value { return between{p} }),
	readAs("make-up", func(p **Range) Value { return madeUp{between{p}} }),
	readAs("", func(p *Fact) Value { return replacement{entry{p}} }),

	words(ProcedureEnded, LeftRecovery),
	words(ToldPatient, ToldAuthority, SentReport, NoEvent),
	words(AskedYes, AskedNo, AskedNot),
	words[Modality]("pet-ct", "pet-mr", "spect-ct", "planar", "other"),
	words(AsIntended, Elsewhere, NotDone),
	words(LeftReturned, LeftHanded, LeftLost),
	words(Trash, Clinical, Sewer, SentBack, Handed),
	words(LabelsDefaced, LabelsInside, LabelsLeft),
	words(ParcelOverLimit, SpillHappened, ActivityMissing),
	words(Required, NotRequired),
	words[Method]("surface-area", "mono-compartment", "partition", "closed-system"),
	words[Target]("perfused-volume", "tumour", "normal-liver", "whole-normal-liver"),
	words(Says, SaysNot),
	words(Learn, NotLearn),
	words(ForPatients, ForPractice),
	words(PartBefore, PartAfter, PartIn),
	words(ActivityMeter, SurveyInstrument, ContaminationMonitor, WipeCounter, Dosemeter),
	words(Used, Withdrawn),
	words(Tests()...),
	words(WhiteI, YellowII, YellowIII, Excepted),
	words(Intact, Damaged, Wet, Opened),
	words(PapersAgree, PapersDiffer, PapersMissing),
	words(Active, Inactive),
	words(WornBody, WornRing, WornTip, WornLens, WornFetus),
	words(Hands...),
	words(quantity.LabelBasis, quantity.TraceableBasis),
	words(Complete, Stasis, EmergentCondition, PatientIntervention, Blockage, Leak, Equipment, Operator, OtherReason),
	words(MeterBackground, MeterConstancy, SurveyMeter, AreaClear, Consumables, People, SiteClock, TestPrint),
	words(ReadsRemainder, ReadsEither),
	words(Pass, Fail),
	words(SyringeLabel, VialLabel, ShieldLabel, BoxLabel),
}
