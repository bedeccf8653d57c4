package procedure

import "vialwright/people"

// MaySet says whether a person may make a setting of a case, under the act
// set-policy or set-meter, once the case has so many entries. replaces tells
// that one stands there already. It refuses, in this order:
//
//	what [people.May] refuses of the act
//	[CodeSettingsLate]  the case has entries, and something that stands would
//	                    be replaced: a decision made under one setting is not
//	                    judged by another
func MaySet(p people.Person, a people.Act, entries int, replaces bool) error {
	if err := people.May(p, a); err != nil {
		return err
	}
	if entries > 0 && replaces {
		return refuse(CodeSettingsLate, "this case has entries, and its settings stay", "open the next case, and set them there before anything is entered; later cases take them over")
	}
	return nil
}
