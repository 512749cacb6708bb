package unit

import "testing"

func BenchmarkParseNum(b *testing.B) {
	for _, s := range []string{"4200", "0.75", "-12.345e-3", "0.1234567890123456789012345678901234567891"} {
		b.Run(s, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := ParseNum(s); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkCmp(b *testing.B) {
	large := Int(1 << 62).Mul(Int(1 << 62))
	for _, c := range []struct {
		name string
		x, y Num
	}{
		{"whole", Int(4200), Int(3900)},
		{"fractions", Ratio(-160, 9), Ratio(-161, 10)},
		{"large", large, large.Add(Int(1))},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if c.x.Cmp(c.y) == 0 {
					b.Fatal("equal")
				}
			}
		})
	}
}

func BenchmarkAddMul(b *testing.B) {
	x, y := Ratio(9_223, 1_000), Ratio(5, 9)
	b.ReportAllocs()
	for b.Loop() {
		if x.Mul(y).Add(x).Sign() == 0 {
			b.Fatal("zero")
		}
	}
}

func BenchmarkSuggest(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, ok := Suggest("kilovlts"); !ok {
			b.Fatal("no suggestion")
		}
	}
}
