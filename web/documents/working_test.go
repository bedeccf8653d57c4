package documents_test

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// Every number of the bench leads to its working, which says the formula, the entries
// that it rests on and the parts of its uncertainty: they add up to the whole. Who
// might still check the dose does not get it.
func TestWorking(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	if body := s.T1.Look(webtest.Bench).Body; !strings.Contains(body, webtest.Bench+"/working#working-4") {
		t.Error("the volume of the draw leads to no working of the plan")
	}
	s.Go("draw", "remainder")
	page := s.T1.Look(webtest.Bench + "/working")
	page.Says(200, "sum of weight·(gross - background)", "(JCGM 106:2012, 7.2)", "Reading of entry ", "Calibration and geometry", "Uncertainty of the dose")
	for _, href := range regexp.MustCompile(`href="(/history[^"]*)#(entry-\d+)"`).FindAllStringSubmatch(page.Body, -1) {
		if !strings.Contains(s.T1.Look(href[1]).Body, `id="`+href[2]+`"`) {
			t.Errorf("%s#%s leads to no entry", href[1], href[2])
		}
	}
	for _, table := range strings.Split(page.Body, `class="budget"`)[1:] {
		var sum float64
		for _, m := range regexp.MustCompile(`<meter min="0" max="1" value="([\d.]+)"`).FindAllStringSubmatch(table[:strings.Index(table, "</table>")], -1) {
			share, err := strconv.ParseFloat(m[1], 64)
			if err != nil {
				t.Fatal(err)
			}
			sum += share
		}
		if math.Abs(sum-1) > 0.005 {
			t.Errorf("the parts of an uncertainty add up to %.4f of it", sum)
		}
	}
	s.As("T2").Get(webtest.Bench+"/working").Says(403, "second check of one of these doses")
}
