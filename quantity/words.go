package quantity

// words are spelled-out and colloquial units that are refused with the unit to
// write instead: they have more than one spelling, more than one meaning, or
// stand on a list of notations known to be misread (ISMP, List of Error-Prone
// Abbreviations: cc, mcg and its like). Letter case is ignored.
var words = []struct {
	kind  kind
	words []string
	why   string
	write string
}{
	{activity, []string{"becquerel", "becquerels"}, spelledOut, "Bq"},
	{activity, []string{"megabecquerel", "megabecquerels"}, spelledOut, "MBq"},
	{activity, []string{"gigabecquerel", "gigabecquerels"}, spelledOut, "GBq"},
	{activity, []string{"curie", "curies"}, spelledOut, "Ci"},
	{activity, []string{"millicurie", "millicuries"}, spelledOut, "mCi"},
	{activity, []string{"microcuries"}, "a unit has no plural", "uCi or microcurie"},
	{activity, []string{"mcCi"}, "mc may be milli or micro", "mCi or uCi"},
	{activity, []string{"cpm", "cps"}, countRate, "an activity, such as kBq"},
	{activity, []string{"dpm"}, "it is 1/60 Bq, and is read on a surface only", "Bq"},
	{volume, []string{"cc"}, "it has been misread as u and as 00", "mL"},
	{volume, []string{"ccm"}, "it has more than one meaning", "mL"},
	{volume, []string{"mls"}, "a unit has no plural", "mL"},
	{volume, []string{"milliliter", "milliliters", "millilitre", "millilitres"}, spelledOut, "mL"},
	{volume, []string{"liter", "liters", "litre", "litres"}, spelledOut, "L"},
	{mass, []string{"gm"}, "it has more than one meaning", "g"},
	{mass, []string{"gr"}, "it may be a gram or a grain", "g"},
	{mass, []string{"gram", "grams"}, spelledOut, "g"},
	{mass, []string{"mcg"}, "it is the microgram, 1e-3 of mg", "mg"},
	{mass, []string{"kilo", "kilos"}, spelledOut, "kg"},
	{span, []string{"m"}, "it is the metre, and may be a minute or a month", "min"},
	{span, []string{"minute", "minutes", "mins"}, spelledOut, "min"},
	{span, []string{"hr", "hrs", "hour", "hours"}, spelledOut, "h"},
	{span, []string{"sec", "secs", "second", "seconds"}, spelledOut, "s"},
	{span, []string{"day", "days"}, spelledOut, "d"},
	{span, []string{"y", "yr", "yrs", "year", "years"}, spelledOut, "a"},
	{doseRate, []string{"uSv/hr"}, spelledOut, "uSv/h"},
	{doseRate, []string{"mSv/hr"}, spelledOut, "mSv/h"},
	{doseRate, []string{"mrem/hr"}, spelledOut, "mrem/h"},
	{doseRate, []string{"uR/h", "mR/h", "mR/hr", "R/h", "R/hr"}, roentgen, "mrem/h or uSv/h as the meter's certificate says"},
	{doseRate, []string{"uGy/h", "mGy/h"}, "a gray in air is no dose equivalent", "uSv/h as the meter's certificate says"},
	{doseRate, []string{"cpm", "cps"}, countRate, "a dose rate, such as uSv/h"},
	{absorbedDose, []string{"gray", "grays"}, spelledOut, "Gy"},
	{doseEquivalent, []string{"sievert", "sieverts"}, spelledOut, "Sv"},
	{contamination, []string{"cpm", "cps"}, countRate, "a surface activity, such as Bq/cm2"},
	{contamination, []string{"dpm"}, "the area is missing", "dpm/100cm2 or Bq/cm2"},
	{contamination, []string{"Bq"}, "the area is missing", "Bq/cm2"},
	{contamination, []string{"dpm/cm2"}, "the area usual with dpm is 100 cm2", "100 times the number in dpm/100cm2"},
	{contamination, []string{"cpm/100cm2"}, countRate, "dpm/100cm2 or Bq/cm2"},
	{area, []string{"cm"}, "it is a length", "cm2"},
	{area, []string{"sqcm"}, spelledOut, "cm2"},
	{countsRate, []string{"dpm"}, "it is a rate of decays", "cps or cpm"},
	{countsRate, []string{"c/s"}, "it has more than one meaning", "cps"},
	{fraction, []string{"percent", "per cent", "pct"}, spelledOut, "%"},
	{fraction, []string{"‰"}, "it is easily taken for %", "a tenth of the number in %"},
	{fraction, []string{"ppm"}, "a fraction is written in percent", "%"},
	{temperature, []string{"F", "°F"}, "it is not Celsius", "C"},
	{temperature, []string{"K"}, "it is not Celsius", "C, which is K less 273.15"},
	{temperature, []string{"°", "deg"}, "the scale is missing", "C"},
	{temperature, []string{"degC", "deg C", "Celsius"}, spelledOut, "C"},
	{length, []string{"micron", "microns"}, spelledOut, "um"},
	{length, []string{"in", "inch", "\""}, "it is not metric", "mm"},
}

// The reasons that stand beside most words.
const (
	spelledOut = "units are written as symbols"
	countRate  = "it is a count rate, and needs the efficiency of the meter"
	roentgen   = "the roentgen measures exposure, not dose equivalent"
)
