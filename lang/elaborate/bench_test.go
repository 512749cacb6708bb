package elaborate_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"pintle/lang/elaborate"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// generated is a design of about 12 lines for each of n modules.
func generated(n int) string {
	var b strings.Builder
	b.WriteString("title \"bench\"\nquantity coolant: -40 to 150 degC\nsetting key: off, run\nground block\nsupply battery: 12 V, from block to stud\n")
	b.WriteString("part Relay {\n    pin 30, 85, 86, 87\n    takes resistance: ohm, 85 ohm +-10 % unless said\n    coil winding: 85 to 86, resistance, pulls in at 8 V, drops out at 2 V\n    contact main: 30 to 87, make, up to 30 A\n    shows winding, main\n}\n")
	for i := range n {
		fmt.Fprintf(&b, `fit K%[1]d: Relay(resistance 90 ohm)
fit S%[1]d: {
    pin 1, 2
    contact main: 1 to 2, made when key is run and coolant above %[2]d degC
}
fit E%[1]d: {
    pin 1, 2
    load bulb: 1 to 2, 21 W at 12 V, cold 10 %%, lit from 60 %%
}
wire WA%[1]d: battery.stud to S%[1]d.1, red, 1.5 mm2, 0.4 m
wire WB%[1]d: S%[1]d.2 to K%[1]d.86, black/yellow, 0.75 mm2, 1.4 m
wire WC%[1]d: K%[1]d.85 to block, brown, 0.75 mm2, 0.3 m
wire WD%[1]d: battery.stud to K%[1]d.30, red, 2.5 mm2, 0.4 m
wire WE%[1]d: K%[1]d.87 to E%[1]d.1, red/blue, 2.5 mm2, 2 m
wire WF%[1]d: E%[1]d.2 to block, brown, 2.5 mm2, 0.5 m
condition lit_%[1]d: E%[1]d.bulb is lit and K%[1]d.winding is energised
require r%[1]d: never (lit_%[1]d and key is off)
`, i, i%100)
	}
	return b.String()
}

func BenchmarkElaborate(b *testing.B) {
	for _, n := range []int{10, 100, 1000, 10000} {
		text := generated(n)
		f := syntax.Parse(source.NewFile("bench.pintle", text), nil)
		lines := f.Src.Lines()
		b.Run(fmt.Sprintf("lines=%d", lines), func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(text)))
			for b.Loop() {
				r := elaborate.Elaborate(context.Background(), f, nil)
				if len(r.Designs) != 1 || len(r.Findings) > 0 {
					b.Fatalf("%d designs, %d findings", len(r.Designs), len(r.Findings))
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(lines), "ns/line")
		})
	}
}

func BenchmarkParse(b *testing.B) {
	text := generated(1000)
	src := source.NewFile("bench.pintle", text)
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		syntax.Parse(src, nil)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(src.Lines()), "ns/line")
}
