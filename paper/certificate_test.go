package paper

import (
	"strings"
	"testing"
	"time"

	"vialwright/experience/invented"
	"vialwright/fold"
	"vialwright/meterbook"
	"vialwright/rules"
)

// The certificate of the invented year of a meter, as it is printed.
func TestCertificate(t *testing.T) {
	at := time.Date(2027, 3, 4, 11, 0, 0, 0, time.UTC)
	records, _, err := invented.Meters(at, time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	us, err := rules.Load("us")
	if err != nil {
		t.Fatal(err)
	}
	zone, _ := time.LoadLocation("Atlantic/Azores")
	b := meterbook.Of(fold.Entries(records), meterbook.RulesOf(us.On(at)), zone, at)
	s, err := Certificate(b, "M2")
	if err != nil {
		t.Fatal(err)
	}
	s.Use, s.Made, s.Software = ForPractice, at, "vialwright test"
	pdf := pdfOf(t, s)
	golden(t, "certificate.txt", words(t, pdf))
	sound(t, pdf)
	// A tolerance from memory is never printed as law.
	if text := strings.Join(strings.Fields(words(t, pdf)), " "); strings.Count(text, "[from memory, not read for this profile]") != 3 {
		t.Errorf("the tolerances do not say that they are from memory: %s", text)
	}
	if _, err := Certificate(b, "M9"); err == nil || !strings.Contains(err.Error(), "instrument") {
		t.Errorf("M9: %v", err)
	}
}
