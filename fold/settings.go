package fold

import (
	"cmp"
	"strconv"
	"strings"
	"sync"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// among puts a refusal of a setting where it stands, if that is among the
// entries.
func among(r *fact.Refusal, e journal.Record) *fact.Refusal {
	if e.N == 0 {
		return r
	}
	_, rest, deeper := strings.Cut(r.Path, ".")
	r.Entry, r.Path = e.N, "entries["+strconv.Itoa(e.N)+"]."+fact.Word(e.Fact)
	if deeper {
		r.Path += "." + rest
	}
	return r
}

// decided is a policy at its place, worked out: what is not given is assumed.
type decided struct {
	place int
	from  time.Time
	dispensing.Policy
	settling dispensing.Settling
	assumed  []dispensing.Assumed
	limits   *fact.Limits
}

// settings takes the settings: the case itself first and once; policies and
// meters, each in force from its place on and not before its time. What is
// replaced says why.
func (f *folder) settings(records []journal.Record, zones fact.Zones) *fact.Refusal {
	count, work := 0, false
	for place, e := range records {
		var err *fact.Refusal
		switch x := e.Fact.(type) {
		case *fact.Site:
			if place > 0 {
				return fact.AtTop("case", "case-twice", "there is a first entry already", "begin a new journal or a new file for another site")
			}
			f.practice = x.Use == fact.ForPractice
			if err = f.Open(x, zones); err == nil {
				err = f.decide(-1, &fact.Policy{})
			}
		case *fact.Policy:
			if err = f.dated("policy", x.From, e, work, len(f.policies) > 1 && x.Reason == ""); err == nil {
				err = f.decide(place, x)
			}
		case *fact.Meter:
			count++
			err = f.meter(x, e, count, work)
		default:
			work = true
		}
		if err != nil {
			return among(err, e)
		}
		if f.out.Zone == nil {
			return fact.AtTop("case", "case-missing", "the first entry is not that of the site", "begin with the site and its zone")
		}
	}
	if f.out.Zone == nil {
		return fact.AtTop("case", "case-missing", "there are no entries", "begin with the site and its zone")
	}
	return nil
}

// dated refuses a setting that replaces another without a reason, one among the
// entries without the time from which it holds, and one that would hold from
// before it was recorded: what was done by then rests on what was in force.
func (f *folder) dated(path string, from time.Time, e journal.Record, work, unexplained bool) *fact.Refusal {
	switch {
	case work && from.IsZero() || unexplained:
		return fact.AtTop(path, "policy-late", "a setting stands above the entries or says from when it holds; it replaces another only with a reason",
			"write from: and reason:; a decision is judged by the policy it was made under")
	case !e.Recorded.IsZero() && !from.IsZero() && from.Before(e.Recorded.Truncate(time.Minute)):
		return fact.AtTop(path+".from", "from-past", "it would hold from "+f.clock(from)+", before it was recorded", "let it hold from now on or from a later day")
	}
	return nil
}

// decide works a policy out.
func (f *folder) decide(place int, p *fact.Policy) *fact.Refusal {
	of := f.out.Assumed[:f.base:f.base]
	f.out.Assumed, f.out.Policy = of, dispensing.Policy{}
	if err := f.policy(p); err != nil {
		return err
	}
	f.policies = append(f.policies, decided{place, p.From, f.out.Policy, f.out.Settling, f.out.Assumed, limitsOf(p)})
	return nil
}

// policyOf is what the site had decided when an entry was recorded: what stands
// above it and had begun to hold. It holds for that entry for ever. In a case
// file, where nobody recorded anything, it is what stands above.
func (f *folder) policyOf(s *step) *decided {
	for i := len(f.policies) - 1; i > 0; i-- {
		if d := &f.policies[i]; d.place < s.place && (s.recorded.IsZero() || !d.from.After(s.recorded)) {
			return d
		}
	}
	return &f.policies[0]
}

// Open takes the case: its zone and half-life.
func (f *folder) Open(c *fact.Site, zones fact.Zones) *fact.Refusal {
	zone, bad := zones.Load(c.Zone)
	if bad != nil {
		return bad
	}
	f.out.Zone = zone
	evaluated := nuclide.Y90.HalfLife()
	f.out.HalfLife = evaluated
	switch {
	case c.HalfLife.IsZero() && !c.HalfLifeU.IsZero():
		return fact.AtTop("half-life-u", "half-life-missing", "an uncertainty is given for a half-life that is not", "write half-life too, or leave both out")
	case c.HalfLife.IsZero():
		return nil
	}
	h := nuclide.HalfLife{Value: c.HalfLife.Value, U: c.HalfLifeU.Value, Source: c.HalfLife.Text + ", set in the case"}
	if c.HalfLifeU.IsZero() {
		h.U = evaluated.U
		f.assume("half-life-u", strconv.FormatFloat(h.U.Hours(), 'g', 3, 64)+" h", evaluated.Source)
		f.base = len(f.out.Assumed)
	}
	if err := nuclide.Y90.Vet(h); err != nil {
		e, _ := err.(*nuclide.Error)
		return fact.AtTop("half-life", e.Code, clause(e.Text), clause(e.Hint))
	}
	f.out.HalfLife = h
	return nil
}

// clause makes a sentence a part of a longer one.
func clause(s string) string {
	return strings.ToLower(s[:min(1, len(s))]) + strings.TrimSuffix(s[min(1, len(s)):], ".")
}

// settingNames are the labels of the settings, as they stand in a sentence.
var settingNames = sync.OnceValue(func() map[string]string {
	out := map[string]string{}
	for _, f := range fact.AllFields(fact.Word((*fact.Policy)(nil))) {
		out[strings.TrimSuffix(f.Path, ".q")] = strings.ToLower(f.Label[:1]) + f.Label[1:]
	}
	return out
})

// assume notes a setting that was not given.
func (f *folder) assume(setting, value, source string) {
	f.out.Assumed = append(f.out.Assumed, dispensing.Assumed{Setting: setting, Name: settingNames()[setting], Value: value, Source: source})
}

// Where assumed values come from.
const (
	common = "common practice, no source"
	usual  = "a usual choice, no source"
)

// percentage is a setting of the policy in percent.
type percentage struct {
	name          string
	given         quantity.Stated[quantity.Fraction]
	into          *quantity.Fraction
	value         quantity.Fraction // assumed where none is given
	shown, source string
}

// percentage takes a percentage that is given, or assumes its value.
func (f *folder) percentage(p percentage) *fact.Refusal {
	if p.given.IsZero() {
		*p.into = p.value
		f.assume(p.name, p.shown, p.source)
		return nil
	}
	*p.into = p.given.Value
	if p.given.Value <= 0 || p.given.Value >= 1 {
		return fact.AtTop("policy."+p.name, "out-of-range", p.given.Text+" is not above 0 % and below 100 %", "check the number")
	}
	return nil
}

// policy takes what the site decided and assumes the rest, in the order of the
// table of fields.
func (f *folder) policy(p *fact.Policy) *fact.Refusal {
	to := &f.out.Policy
	for _, x := range []percentage{
		{"tolerance", p.Tolerance, &to.Tolerance, 0.10, "10 %", "EANM position, Konijnenberg et al. 2020 (ICRU level 1)"},
		{"limit", p.Limit, &to.Limit, 0, "none", "the site names none"},
		{"label-tolerance", p.LabelTolerance, &to.LabelTolerance, 0.10, "10 %", common},
		{"confidence", p.Confidence, &to.Confidence, 0.95, "95 %", usual},
		{"label-drift", p.LabelDrift, &to.LabelDrift, 0.02, "2 %", usual},
	} {
		if err := f.percentage(x); err != nil {
			return err
		}
	}
	if to.Limit > 0 && to.Limit < to.Tolerance {
		return fact.AtTop("policy.limit", "limit-inside", "the limit "+p.Limit.Text+" lies inside the tolerance", "the limit is the outer of the two")
	}
	if err := cmp.Or(
		f.volumes(p), f.yield(p.DrawYield),
		f.percentage(percentage{"residual-u", p.ResidualU, &to.ResidualU, 0.20, "20 %", "a guess; survey-meter residuals were found substantially wrong (Ebbers et al., CVIR 43 (2020) 1378)"}),
		f.percentage(percentage{"check-limit", p.CheckLimit, &to.CheckLimit, 0.05, "5 %", "assumed, no source"}),
	); err != nil {
		return err
	}
	f.learns(p)
	to.CheckEither = p.CheckReads == fact.ReadsEither
	if p.CheckReads == "" {
		f.assume("check-reads", string(fact.ReadsRemainder), common)
	}
	if to.Basis = p.Basis; p.Basis == "" {
		to.Basis = quantity.LabelBasis
		f.assume("basis", string(quantity.LabelBasis), "prescriptions follow the supplier's label ("+common+")")
	}
	if v := p.Verdicts; v != nil {
		to.Verdicts = dispensing.Verdicts{Conforms: v.Conforms, Unsure: v.Unsure, Outside: v.Outside, BeyondLimit: v.BeyondLimit}
	}
	return cmp.Or(checkLimits(limitsOf(p)), f.clockSettings(p))
}

// volumes takes the limits of make-up and the syringe's graduation.
func (f *folder) volumes(p *fact.Policy) *fact.Refusal {
	to := &f.out.Policy
	to.MakeUpMin, to.MakeUpMax = 3, 5
	if r := p.MakeUp; r != nil {
		to.MakeUpMin, to.MakeUpMax = r.Min.Value, r.Max.Value
		if bad := checkRange(r); bad != "" {
			return fact.AtTop("policy.make-up", "out-of-range", bad, "write the smaller volume first, and check the units")
		}
	} else {
		f.assume("make-up", "3 mL to 5 mL", common)
	}
	to.Graduation = 0.1
	if !p.Graduation.IsZero() {
		if to.Graduation = p.Graduation.Value; to.Graduation < quantity.Microlitre || to.Graduation > 10*quantity.Millilitre {
			return fact.AtTop("policy.graduation", "out-of-range", p.Graduation.Text+" is no graduation of a syringe", "write the smallest division, such as 0.1 mL")
		}
	} else {
		f.assume("graduation", "0.1 mL", common)
	}
	return nil
}

// checkRange says what is wrong with a range, nothing if it is sound.
func checkRange(r *fact.Range) string {
	switch {
	case r.Min.Value >= r.Max.Value:
		return "the range from " + r.Min.Text + " to " + r.Max.Text + " is empty"
	case r.Max.Value > mostVolume:
		return r.Max.Text + " fits no container here"
	}
	return ""
}

// yield takes the site's draw yield.
func (f *folder) yield(y *fact.DrawYield) *fact.Refusal {
	if y == nil {
		f.out.Policy.Yield = ledger.Share{Value: 1, U: 0.05}
		f.assume("draw-yield", "100 % with u 5 %", "a guess, no site history and no source")
		return nil
	}
	f.out.Policy.Yield = ledger.Share{Value: float64(y.Q.Value), U: float64(y.U.Value)}
	switch {
	case y.Q.Value <= 0 || y.Q.Value >= 2:
		return fact.AtTop("policy.draw-yield.q", "out-of-range", y.Q.Text+" is not above 0 % and below 200 %", "it is activity share per volume share, near 100 %")
	case y.U.Value <= 0 || y.U.Value >= 1:
		return fact.AtTop("policy.draw-yield.u", "out-of-range", y.U.Text+" is not above 0 % and below 100 %", "it is the standard uncertainty of q in the same unit")
	}
	return nil
}
