package quarter

import "vialwright/hotlab"

// Fault is one that can be seeded, with where it is to be found.
type Fault struct {
	Code  hotlab.Code
	Page  hotlab.Page
	About string
	// On is the day on which it happens, Seen the one from which it can be seen.
	On, Seen string
	// Says is a part of its sentence, without what depends on the day that is looked at.
	Says string
}

// Faults are those that can be seeded, one of each code.
var Faults = []Fault{
	{hotlab.ParcelNotSurveyed, hotlab.Parcels, "PK-03", "2027-01-12", "2027-01-12", "PK-03 arrived on"},
	{hotlab.ParcelSurveyedLate, hotlab.Parcels, "PK-04", "2027-01-14", "2027-01-14", "PK-04 was surveyed on"},
	{hotlab.ParcelOpenedEarly, hotlab.Parcels, "PK-05", "2027-01-19", "2027-01-19", "PK-05 was opened on"},
	{hotlab.ParcelDiffers, hotlab.Parcels, "PK-06", "2027-01-21", "2027-01-21", "PK-06 is not what was ordered: 4.0 GBq ordered and 3.0 GBq printed"},
	{hotlab.ParcelMislabelled, hotlab.Parcels, "PK-07", "2027-01-26", "2027-01-26", "PK-07 reads TI 1.5"},
	{hotlab.ParcelAboveLimit, hotlab.Parcels, "PK-08", "2027-01-28", "2027-01-28", "PK-08 has 5.694 ± 0.091 Bq/cm² of removable contamination"},
	{hotlab.ParcelWipeBlind, hotlab.Parcels, "PK-09", "2027-02-02", "2027-02-02", "The wipe of parcel PK-09 cannot tell 4 Bq/cm2 from nothing"},
	{hotlab.ParcelPapers, hotlab.Parcels, "PK-10", "2027-02-04", "2027-02-04", "The papers of parcel PK-10 do not say what is on it"},
	{hotlab.ParcelZone, hotlab.Parcels, "PK-11", "2027-02-09", "2027-02-09", "which is no offset of Europe/Berlin on that day"},
	{hotlab.ParcelOverdue, hotlab.Parcels, "PK-99", "2027-03-31", "2027-03-31", "PK-99 was due on"},
	{hotlab.MeterOverdue, hotlab.Surveys, "R1-1", "2027-03-02", "2027-03-02", "R1-1 was read with SV3 on"},
	{hotlab.PointAction, hotlab.Surveys, "R1-2", "2027-02-11", "2027-02-11", "R1-2 (floor by the door) has 1.250 ± 0.093 Bq/cm² of contamination"},
	{hotlab.PointBlind, hotlab.Surveys, "R1-1", "2027-02-16", "2027-02-16", "cannot see the action level of 0.4 Bq/cm2: count 7 min"},
	{hotlab.DayNotSurveyed, hotlab.Surveys, "R1", "2027-02-25", "2027-02-26", "(0 of 2 points)"},
	{hotlab.RoomReleasedEarly, hotlab.Surveys, "R1", "2027-02-18", "2027-02-18", "or not found below their action level: R1-2"},
	{hotlab.RoomWithoutPoints, hotlab.Surveys, "R2", "2027-01-04", "2027-01-04", "Room R2 has no point to be surveyed"},
	{hotlab.SpillOpen, hotlab.Surveys, "hot lab, floor", "2027-02-23", "2027-02-23", "at hot lab, floor is still open"},
	{hotlab.SkinOpen, hotlab.Persons, "RP3", "2027-02-25", "2027-02-25", "The contamination of RP3 (left index finger) has no last reading"},
	{hotlab.DoseOverLimit, hotlab.Persons, "RP3", "2027-03-10", "2027-03-10", ", fingertips, and more than 500 mSv is not allowed"},
	{hotlab.DosemeterMissing, hotlab.Persons, "NT2", "2027-03-31", "2027-03-31", "No report of the ring dosemeter of NT2"},
	{hotlab.DoseOfNobody, hotlab.Persons, "xy-9", "2027-03-10", "2027-03-10", "of xy-9, who is nobody here"},
	{hotlab.FetusDose, hotlab.Persons, "NT2", "2027-03-10", "2027-03-10", "NT2 has received 5.4 mSv since the declaration"},
	{hotlab.TrainingLapsed, hotlab.Persons, "NT2", "2027-03-04", "2027-03-04", "NT2 entered a parcel on"},
	{hotlab.ContainerNowhere, hotlab.Waste, "S17", "2027-03-02", "2027-03-02", "The records of all orders of S17 are closed, and nobody said where it is"},
	{hotlab.BinReleasedEarly, hotlab.Waste, "W1", "2027-02-15", "2027-02-15", "Bin W1 was released on"},
	{hotlab.BinAboveBackground, hotlab.Waste, "W2", "2027-03-30", "2027-03-30", "Bin W2 was released with 900 counts"},
	{hotlab.BinSurveyedPoorly, hotlab.Waste, "W2", "2027-03-30", "2027-03-30", "the meter was not on its most sensitive range"},
	{hotlab.BinAddedAfter, hotlab.Waste, "W1", "2027-02-02", "2027-02-02", "S09 was put into bin W1"},
	{hotlab.BinSlow, hotlab.Waste, "W2", "2027-03-30", "2027-03-30", "readings of bin W2 decay with a half-life of 9 d"},
	{hotlab.EmptyPackage, hotlab.Waste, "S20", "2027-03-11", "2027-03-11", "S20 was sent back as an empty package"},
	{hotlab.LineExceeded, hotlab.Inventory, "L-1", "2027-03-16", "2027-03-16", "the licence allows 12 GBq"},
	{hotlab.ActivityLost, hotlab.Inventory, "S22", "2027-03-18", "2027-03-18", "S22 is lost"},
}

// Codes are those of all faults.
func Codes() []hotlab.Code {
	out := make([]hotlab.Code, len(Faults))
	for i, f := range Faults {
		out[i] = f.Code
	}
	return out
}
