package hotlab_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/hotlab"
	"vialwright/quantity"
)

// A ring of 0.20 mSv is 0.60 mSv at the fingertip of a person whose ratio is 3; published
// ratios lie between 1.4 and 7. A fingertip dosemeter counts for the months in which it was worn,
// and leaves the others to the ring.
func TestFingertipOfARing(t *testing.T) {
	var (
		january  = reported("R-1", "ring", "2027-01-01", "2027-02-01", "4.0 mSv")
		february = reported("R-1", "ring", "2027-02-01", "2027-03-01", "0.20 mSv")
		tip      = reported("F-1", "fingertip", "2027-02-01", "2027-03-01", "0.5 mSv")
		quarter  = reported("F-1", "fingertip", "2027-01-01", "2027-03-10", "3 mSv")
		before   = reported("R-1", "ring", "2026-12-01", "2027-01-01", "9 mSv")
	)
	for _, c := range []struct {
		name    string
		reports []string
		want    float64
	}{
		{"ring", []string{february}, 0.60},
		{"ring and fingertip", []string{february, tip}, 0.5},
		{"fingertip in one of two months", []string{january, february, tip}, 12.5},
		{"one fingertip dosemeter for two rings", []string{january, february, quarter}, 3},
		{"last year", []string{before, february}, 0.60},
	} {
		b := read(t, "", append([]string{"finger-ratio: {who: rp-3, ratio: 3, from: 2027-01-01T00:00, text: measured once}"}, c.reports...)...)
		if len(b.Persons) != 1 {
			t.Fatalf("%s: persons %+v", c.name, b.Persons)
		}
		tip, known := b.Persons[0].Fingertip()
		if got := float64(tip / quantity.MilliSievert); !known || math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: fingertip %g mSv, want %g", c.name, got, c.want)
		}
	}
}

// A parcel above a limit says whom to call: those in force, as they were entered last.
func TestWhomToCall(t *testing.T) {
	hot := []string{parcel, "parcel-survey: {parcel: PK-1, at: 2027-03-04T09:10, meter: SV1, surface: 2.5 mSv/h, metre: 8 uSv/h, background: 0.1 uSv/h}"}
	does := func(more ...string) string {
		t.Helper()
		for _, f := range read(t, "us", append(hot[:2:2], more...)...).On(hotlab.Parcels) {
			if f.Code == hotlab.ParcelAboveLimit {
				return f.Do
			}
		}
		t.Fatal("no finding")
		return ""
	}
	if got := does(); !strings.Contains(got, "entered nobody to call") {
		t.Errorf("nobody is entered: %q", got)
	}
	got := does(
		"contact: {occasion: parcel, name: final carrier, phone: 555 0100, from: 2027-01-01T00:00}",
		"contact: {occasion: parcel, name: final carrier, phone: 555 0199, from: 2027-02-01T00:00}",
		"contact: {occasion: parcel, name: old authority, phone: 555 0111, from: 2027-01-01T00:00, until: 2027-02-01T00:00}",
		"contact: {occasion: spill, name: decontamination, phone: 555 0122, from: 2027-01-01T00:00}",
		"contact: {occasion: parcel, name: next year, phone: 555 0133, from: 2028-01-01T00:00}")
	if !strings.HasSuffix(got, " Call final carrier: 555 0199.") {
		t.Errorf("whom to call: %q", got)
	}
}

// A limit that was passed in December is found in January as well, as one of that year, and
// each year has its own sum (10 CFR 20.1201: in one year).
func TestLimitOfLastYear(t *testing.T) {
	report := func(from, to, measured string) string { return reported("B-1", "body", from, to, measured) }
	b := read(t, "us", report("2026-11-01", "2026-12-01", "30 mSv"), report("2026-12-01", "2027-01-01", "21 mSv"), report("2027-01-01", "2027-02-01", "40 mSv"))
	var says []string
	for _, f := range b.On(hotlab.Persons) {
		if f.Code == hotlab.DoseOverLimit {
			says = append(says, f.Text)
		}
	}
	if len(says) != 1 || !strings.Contains(says[0], "rp-3 has 51 mSv in 2026, whole body") {
		t.Errorf("%q", says)
	}
}

// A dose is held to the limit that was in force at its date: a lower one from 2027 on finds
// nothing in 30 mSv of 2026, and 21 mSv of 2027; so does one that was higher before in a bin that
// was released then.
func TestLimitOfItsDate(t *testing.T) {
	const profile = `profile: own
title: A site
approved-by: A. Example
approved-on: 2026-01-01
values:
  - {key: effective-limit, figure: 50 mSv, compare: ">=", citation: old, mark: memory, to: 2027-01-01}
  - {key: effective-limit, figure: 20 mSv, compare: ">=", citation: new, mark: memory, from: 2027-01-01}
  - {key: waste-half-lives, figure: 1 half-lives, citation: old, mark: memory, to: 2027-03-10}
  - {key: waste-half-lives, figure: 10 half-lives, citation: new, mark: memory, from: 2027-03-10}
`
	report := func(from, to, measured string) string { return reported("B-1", "body", from, to, measured) }
	released := func(day string) string {
		return "release-bin: {bin: W1, at: " + day + "T09:00, meter: SV1, gross: 600 counts, time: 300 s, blank: 598 counts, blank-time: 300 s, sensitive: \"yes\", bare: \"yes\", labels: defaced, route: trash}"
	}
	for _, c := range []struct {
		name  string
		lines []string
		want  hotlab.Code
	}{
		{"30 mSv of last year", []string{report("2026-11-01", "2026-12-01", "30 mSv")}, ""},
		{"51 mSv of last year", []string{report("2026-11-01", "2026-12-01", "51 mSv")}, hotlab.DoseOverLimit},
		{"21 mSv of this year", []string{report("2027-01-01", "2027-02-01", "21 mSv")}, hotlab.DoseOverLimit},
		{"released by the old rule", []string{vial, discard, "close-bin: {bin: W1, at: 2027-03-04T16:30}", released("2027-03-09")}, ""},
		{"released by the new rule", []string{vial, discard, "close-bin: {bin: W1, at: 2027-03-04T16:30}", released("2027-03-10")}, hotlab.BinReleasedEarly},
	} {
		found := map[hotlab.Code]bool{"": true}
		for _, f := range read(t, profile, c.lines...).Findings {
			found[f.Code] = true
		}
		if !found[c.want] || c.want == "" && (found[hotlab.DoseOverLimit] || found[hotlab.BinReleasedEarly]) {
			t.Errorf("%s: %v, want %q", c.name, found, c.want)
		}
	}
}

// The limit of an extremity is that of each (10 CFR 20.1201(a)(2): the skin of any extremity;
// EU 2013/59, article 9: 500 mSv for the extremities): 300 mSv on each hand pass no limit of 500
// mSv, 510 mSv on one do; what is of no known hand counts on either.
func TestDosesOfTwoHands(t *testing.T) {
	ring := func(dosemeter, hand, measured string) string {
		return strings.Replace(reported(dosemeter, "ring", "2027-02-01", "2027-03-01", measured), "worn: ring", "worn: ring"+hand, 1)
	}
	const left, right = ", hand: left", ", hand: right"
	tip := strings.Replace(ring("F-1", left, "250 mSv"), "worn: ring", "worn: fingertip", 1)
	for _, c := range []struct {
		name      string
		lines     []string
		ring, tip float64
		over      bool
	}{
		{"both alike", []string{ring("R-1", left, "300 mSv"), ring("R-2", right, "300 mSv")}, 300, 300, false},
		{"one more", []string{ring("R-1", left, "300 mSv"), ring("R-2", right, "510 mSv")}, 510, 510, true},
		{"one of no known hand", []string{ring("R-1", left, "300 mSv"), ring("R-2", "", "210 mSv")}, 510, 510, true},
		{"neither known", []string{ring("R-1", "", "300 mSv"), ring("R-2", "", "210 mSv")}, 510, 510, true},
		{"a fingertip of one hand", []string{ring("R-1", left, "300 mSv"), tip, ring("R-2", right, "200 mSv")}, 300, 250, false},
	} {
		b := read(t, "us", append([]string{"finger-ratio: {who: rp-3, ratio: 1, from: 2027-01-01T00:00, text: measured once}"}, c.lines...)...)
		got, _ := b.Persons[0].Fingertip()
		over := slices.ContainsFunc(b.Findings, func(f hotlab.Finding) bool { return f.Code == hotlab.DoseOverLimit })
		if ring := b.Persons[0].Year[fact.WornRing]; math.Abs(float64(ring/quantity.MilliSievert)-c.ring) > 1e-9 || math.Abs(float64(got/quantity.MilliSievert)-c.tip) > 1e-9 || over != c.over {
			t.Errorf("%s: ring %v, fingertip %v, over %v", c.name, ring, got, over)
		}
	}
	missing := 0
	for _, f := range readOn(t, 2028, "", "wears: {who: rp-3, worn: ring, hand: right, from: 2027-02-01T00:00, until: 2027-03-02T00:00}", ring("R-1", left, "1 mSv")).Findings {
		if f.Code == hotlab.DosemeterMissing && strings.Contains(f.Text, "right ring dosemeter") {
			missing++
		}
	}
	if missing != 1 {
		t.Errorf("the ring of the right hand is asked for %d times", missing)
	}
}

// What is in a container of two lines of the licence is asked for as one, however little of it
// is of the first: 0.6 GBq of 3.0 and 0.2 GBq of 1.0 are 179.65 MBq after 138 h (2^(-138/64.0417)
// is 0.224557), worked out by hand; 0.3 uL of the first, 0.18 MBq, are 0.0404 MBq then, and empty.
func TestContainerOfTwoLinesIsNowhere(t *testing.T) {
	for volume, want := range map[string]string{"1 mL": "179.6", "0.0003 mL": "44.95"} {
		b := read(
			t, "", "licence-line: {id: L-1, nuclide: Y-90, form: resin, from: 2027-01-01T00:00}", "licence-line: {id: L-2, nuclide: Y-90, form: other, from: 2027-01-01T00:00}",
			parcel, strings.NewReplacer("PK-1", "PK-2", "3.0", "1.0", "at:", "line: L-2, at:").Replace(parcel),
			strings.Replace(vial, "}", ", parcel: PK-1}", 1), strings.NewReplacer("S1", "S2", "3.0", "1.0", "}", ", parcel: PK-2}").Replace(vial),
			"order: {id: P1, prescribed: 1.3 GBq, at: 2027-03-04T13:30}", "draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2 mL}",
			"draw: {from: S1, into: Y2, for: P1, at: 2027-03-04T11:20, volume: "+volume+"}", "draw: {from: S2, into: Y2, for: P1, at: 2027-03-04T11:20, volume: 1 mL}",
			"infuse: {for: P1, from: Y1, start: 2027-03-04T13:30, stop: 2027-03-04T14:00, reason: complete}", "close: {for: P1, at: 2027-03-04T17:00}")
		var says []string
		for _, f := range b.On(hotlab.Waste) {
			if f.Code == hotlab.ContainerNowhere && f.About == "Y2" {
				says = append(says, f.Text)
			}
		}
		if len(says) != 1 || !strings.Contains(says[0], want) {
			t.Errorf("%s: %q, want %s MBq", volume, says, want)
		}
	}
}

// A vial that is nowhere is not forgotten when it has decayed to what is exempt (1e5 Bq of Y-90 in a
// consignment, 49 CFR 173.436 as a transport manual has it); what was exempt when the record was
// closed is not asked for: 3 GBq with 2 mL of 5 drawn leave 1.9 GBq, and with 0.1 MBq 60 kBq.
func TestNowhereAfterDecay(t *testing.T) {
	closed := func(month, holds string) []hotlab.Finding {
		var lines []string
		for _, l := range []string{
			strings.Replace(vial, "3.0 GBq", holds, 1), "order: {id: P1, prescribed: 1.3 GBq, at: 2027-03-04T13:30}", "draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2 mL}",
			"infuse: {for: P1, start: 2027-03-04T13:30, stop: 2027-03-04T14:00, reason: complete}", "close: {for: P1, at: 2027-03-04T17:00}",
		} {
			lines = append(lines, strings.ReplaceAll(l, "2027-03-", "2027-"+month+"-"))
		}
		return slices.DeleteFunc(read(t, "", lines...).On(hotlab.Waste), func(f hotlab.Finding) bool { return f.Code != hotlab.ContainerNowhere || f.About != "S1" })
	}
	for _, c := range []struct {
		month, holds string
		want         dispensing.Severity
	}{{"03", "3.0 GBq", dispensing.Stop}, {"01", "3.0 GBq", dispensing.Note}, {"03", "0.1 MBq", ""}} {
		var got dispensing.Severity
		for _, f := range closed(c.month, c.holds) {
			got = f.Severity
		}
		if got != c.want {
			t.Errorf("%s of month %s: %q, want %q", c.holds, c.month, got, c.want)
		}
	}
}
