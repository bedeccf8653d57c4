package secret

import "testing"

func BenchmarkCheck(b *testing.B) {
	for _, c := range []struct {
		name   string
		params Params
	}{{"RFC9106", RFC9106()}, {"OWASP", OWASP()}} {
		b.Run(c.name, func(b *testing.B) {
			k := keeper(b, Options{Params: c.params})
			kept, err := k.Hash(b.Context(), "nine green lamps")
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				if got, err := k.Check(b.Context(), "nine green lamps", kept); err != nil || !got.Right {
					b.Fatal(got, err)
				}
			}
		})
	}
}
