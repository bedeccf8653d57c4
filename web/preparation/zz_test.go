package preparation_test

import (
	"fmt"
	"regexp"
	"testing"

	"vialwright/web/webtest"
)

func TestZZ(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, ruledLab(t)).Hire())
	s.RP.Fill("/day/enter/order", "order", "/day/enter/order", "p0.id", "P1", "p0.patient", "DEMO-0042", "p0.territory", "right lobe", "p0.prescribed", "2.20", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-04T13:30", "p0.residual", "2", "p0.by", "D. Example", "p0.or-at-stasis", "no").Recorded()
	s.Sign()
	s.Readiness()
	s.Step(s.T1, "receipt", "p0.vial", "S1", "p0.lot", "L-0311", "p0.labelled", "4.9", "p0.labelled.unit", "GBq",
		"p0.reference", "2027-03-04T18:00", "p0.volume", "5.0").Recorded()
	s.Clock.Set("11:00")
	s.Step(s.T1, "assay", "p0.gross", "5.2413", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq").Recorded()
	s.Clock.Set("11:10")
	s.T1.Fill(webtest.Bench, "resuspend", webtest.Bench+"/step/resuspend").Recorded()
	p := s.Step(s.T1, "draw", "p0.volume", "5.0")
	fmt.Println(regexp.MustCompile(`<button[^>]*answer[^>]*>[^<]*`).FindAllString(p.Body, -1))
	v := p.Form("step")
	v.Set("p0.volume.answer", p.Choice("p0.volume.answer", 0))
	s.T1.Post(webtest.Bench+"/step/draw", v).Recorded()
	look := func(b *webtest.Browser, n int) string { x := b.Look(webtest.Bench).Text(); if len(x) > n { x = x[:n] }; return x }
	fmt.Println(look(s.T1, 3000)[400:])
	s.Clock.Set("11:14")
	p = s.Step(s.T1, "remainder", "p0.gross", "0.4", "p0.gross.unit", "MBq", "p0.background", "0.2", "p0.background.unit", "MBq")
	fmt.Println("REM", p.Status, p.Text())
	fmt.Println(look(s.T1, 3000)[400:])
}
