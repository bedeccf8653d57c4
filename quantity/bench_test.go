package quantity

import (
	"testing"
)

func BenchmarkParse(b *testing.B) {
	for _, text := range []string{"1.30 GBq", "81 mCi", "3.0GBq", "5 µCi", "2.9970000000000003 GBq", "0.123456789012345678901 GBq"} {
		b.Run(text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Parse[Activity](text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	b.Run("7200 dpm", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := Parse[Contamination]("7200 dpm/100cm2"); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkOf(b *testing.B) {
	for _, unit := range []string{"GBq", "mCi"} {
		b.Run(unit, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Of(Activity(1.342904e9), unit); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkFormat(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Format(Activity(1.348e9), 0.0402e9, "GBq")
	}
}

func BenchmarkBoth(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Both(Activity(1.348e9), 0.0402e9)
	}
}

func BenchmarkParseTime(b *testing.B) {
	azores := zone(b, "Atlantic/Azores")
	for _, text := range []string{"2027-03-04T13:30:00-01:00", "2027-03-04T13:30"} {
		b.Run(text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := ParseTime(text, azores); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
