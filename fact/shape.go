package fact

import (
	"reflect"

	"vialwright/quantity"
)

// Shape is what a field holds, as a form asks for it.
type Shape string

// The shapes: a text, an id or a serial, a time, one of a few words, a number
// without a unit, and the quantities.
const (
	TextShape           Shape = "text"
	IDShape             Shape = "id"
	TimeShape           Shape = "time"
	WordShape           Shape = "word"
	BareShape           Shape = "number"
	ActivityShape       Shape = "activity"
	VolumeShape         Shape = "volume"
	FractionShape       Shape = "percentage"
	DoseRateShape       Shape = "dose rate"
	LengthShape         Shape = "length"
	TemperatureShape    Shape = "temperature"
	ContaminationShape  Shape = "contamination"
	DoseEquivalentShape Shape = "dose of a person"
	SpanShape           Shape = "length of time"
	MassShape           Shape = "mass"
	AbsorbedDoseShape   Shape = "absorbed dose"
	AreaShape           Shape = "area"
	CountRateShape      Shape = "count rate"
	MeterRateShape      Shape = "rate as the meter shows it"
	// The shapes of a number that is written with what it counts.
	RatioShape   Shape = "to 1"
	MillionShape Shape = "million"
	CountsShape  Shape = "counts"
	PixelsShape  Shape = "px"
)

// wants are the quantities by their type: the shape, and what messages say is expected.
var wants = map[reflect.Type]wanted{
	reflect.TypeFor[quantity.Activity]():       {ActivityShape, "an activity such as 1.30 GBq"},
	reflect.TypeFor[quantity.Volume]():         {VolumeShape, "a volume such as 2.2 mL"},
	reflect.TypeFor[quantity.Fraction]():       {FractionShape, "a percentage such as 2 %"},
	reflect.TypeFor[quantity.DoseRate]():       {DoseRateShape, "a dose rate such as 182 uSv/h"},
	reflect.TypeFor[quantity.Length]():         {LengthShape, "a length such as 18 mm"},
	reflect.TypeFor[quantity.Temperature]():    {TemperatureShape, "a temperature such as 20 C"},
	reflect.TypeFor[quantity.Contamination]():  {ContaminationShape, "a contamination such as 0.4 Bq/cm2"},
	reflect.TypeFor[quantity.DoseEquivalent](): {DoseEquivalentShape, "a dose of a person such as 0.42 mSv"},
	reflect.TypeFor[quantity.Span]():           {SpanShape, "a length of time such as 64.05 h"},
	reflect.TypeFor[quantity.Mass]():           {MassShape, "a mass such as 1.4 kg"},
	reflect.TypeFor[quantity.AbsorbedDose]():   {AbsorbedDoseShape, "an absorbed dose such as 120 Gy"},
	reflect.TypeFor[quantity.MeterRate]():      {MeterRateShape, "a rate as the meter shows it, such as 182 uSv/h, 5.8 mR/h or 410 cps"},
	reflect.TypeFor[quantity.Area]():           {AreaShape, "an area such as 100 cm2"},
	reflect.TypeFor[quantity.CountRate]():      {CountRateShape, "a count rate such as 1.5 cps"},
}

type wanted struct {
	shape Shape
	want  string
}

// shaped is a value whose text is of a shape of its own.
type shaped interface{ shape() Shape }

func (id) shape() Shape                { return IDShape }
func (serial) shape() Shape            { return IDShape }
func (instant) shape() Shape           { return TimeShape }
func (number) shape() Shape            { return BareShape }
func (whole) shape() Shape             { return BareShape }
func (between) shape() Shape           { return VolumeShape }
func (oneWord[T]) shape() Shape        { return WordShape }
func (amountOf[Q]) shape() Shape       { return wants[reflect.TypeFor[Q]()].shape }
func (w oneWord[T]) choices() []string { return strs(w.words) }

// ShapeOf is the shape of a value, and the words it may be one of.
func ShapeOf(v Value) (shape Shape, words []string) {
	if l, ok := v.(list); ok {
		return ShapeOf(l.at(reflect.New(l.all.Type().Elem()).Interface()))
	}
	shape = TextShape
	if x, ok := v.(shaped); ok {
		shape = x.shape()
	}
	if x, ok := v.(interface{ choices() []string }); ok {
		words = x.choices()
	}
	return shape, words
}

func strs[T ~string](words []T) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = string(w)
	}
	return out
}
