package picture

import (
	"strconv"
	"strings"
)

func (s *sheet) words() (title, desc string) {
	const full = "Mon 2 Jan 2006 15:04"
	var facts []string
	if s.Mark != "" {
		facts = append(facts, sentence(s.Mark))
	}
	facts = append(facts, sentence("Time from "+s.From.In(s.Zone).Format(full)+" to "+s.Until.In(s.Zone).Format(full)+", "+s.zone()))
	if !s.Now.IsZero() {
		facts = append(facts, sentence("Now "+s.clock(s.Now, "15:04")+beyond(s.side(s.Now))))
	}
	for _, k := range s.ticks {
		if k.change != "" {
			facts = append(facts, sentence(upper(k.change)+" on "+k.at.Format(full)))
		}
	}
	var names []string
	for i, t := range s.Tracks {
		name := t.Name
		if name == "" {
			name = "dose " + strconv.Itoa(i+1)
			if len(s.Tracks) == 1 {
				name = "the dose"
			}
		}
		names = append(names, name)
		facts = append(facts, s.sentence(t))
	}
	if len(names) == 0 {
		return "No dose yet", strings.Join(append(facts, "No dose yet."), " ")
	}
	return "Time strip of " + strings.Join(names, "; "), strings.Join(facts, " ")
}

func (s *sheet) sentence(t Track) string {
	var parts []string
	add := func(words, text string) {
		if text != "" {
			parts = append(parts, words+text)
		}
	}
	add("target ", t.Target.Text)
	if t.banded() {
		add("tolerance from ", t.Lower.Text+" to "+t.Upper.Text)
	}
	if usable(t.LimitLow.Activity) && usable(t.LimitHigh.Activity) {
		add("limit from ", t.LimitLow.Text+" to "+t.LimitHigh.Text)
	}
	if c, n := t.shown(); n != nothing {
		add("", strings.TrimSpace(c.Words+" "+c.Text)+" at "+s.clock(c.At, "15:04")+", decaying")
	} else {
		parts = append(parts, "no activity known")
	}
	add("", s.due(t))
	add("", s.validity(t))
	for _, r := range t.Readings {
		add("reading ", strings.TrimSpace(r.Text+" at "+s.clock(r.At, "15:04")+beyond(s.side(r.At))))
	}
	if t.Name != "" {
		return sentence(t.Name + ": " + list(parts))
	}
	return sentence(upper(list(parts)))
}
