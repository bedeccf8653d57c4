package picture

import (
	"flag"
	"os"
	"path/filepath"
	"testing"
)

var update = flag.Bool("update", false, "write the golden files again")

// golden compares with a file in testdata, or writes it.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != got {
		t.Errorf("%s differs; look at the picture, and if it is right run go test ./picture -update", path)
	}
}

func TestGoldenVessels(t *testing.T) {
	for n, b := range benches() {
		golden(t, "vessels-"+n+"-narrow.svg", string(Vessels(b)))
	}
}

func TestGoldenCSS(t *testing.T) { golden(t, "picture.css", CSS()) }

func TestGoldenTimeStrip(t *testing.T) {
	for _, f := range []Form{Wide, Narrow} {
		for n, b := range strips(f) {
			golden(t, "strip-"+n+"-"+f.class()+".svg", string(TimeStrip(b)))
		}
	}
}
