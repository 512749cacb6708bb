package system_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/system"
)

// large writes a design of n quantities with two thresholds each, and relays in a chain:
// each is fed by a contact that two thresholds and the relay before it decide: one of the
// next quantity and one of the quantity that lies so far apart. With n = 12 and 16 relays
// there are 40 memories of two states.
func large(quantities, relays, apart int) string {
	var b strings.Builder
	b.WriteString("title \"Large\"\nsetting key: off, run\nground block\nsupply battery: 12 V, from block to stud, inside 1 mohm\n")
	for i := range quantities {
		fmt.Fprintf(&b, "quantity q%d: 0 to 100 degC\n", i)
		fmt.Fprintf(&b, "threshold low%d: q%d, sets at 30 degC, clears below 20 degC\n", i, i)
		fmt.Fprintf(&b, "threshold high%d: q%d, sets at 80 degC, clears below 60 degC\n", i, i)
	}
	for k := range relays {
		q := k * quantities / relays
		when := fmt.Sprintf("low%d and key is run", q)
		if k > 0 {
			when = fmt.Sprintf("(low%d or K%d.winding is energised) and not high%d and key is run", q, k-1, max(0, q-apart))
		}
		fmt.Fprintf(&b, `fit S%[1]d: {
    pin 1, 2
    contact hand: 1 to 2, make, made when %[2]s
}
fit K%[1]d: {
    pin 85, 86
    coil winding: 86 to 85, 85 ohm, pulls in at 8 V, drops out at 2 V
}
wire W%[1]d-1: battery.stud to S%[1]d.1
wire W%[1]d-2: S%[1]d.2 to K%[1]d.86
wire W%[1]d-3: K%[1]d.85 to block
`, k, when)
	}
	last := relays - 1
	fmt.Fprintf(&b, "require no_key: never (K%d.winding is energised and key is off)\n", last)
	fmt.Fprintf(&b, "require comes: possible K%d.winding is energised\n", last)
	fmt.Fprintf(&b, "require blocked: never (K%d.winding is energised and high%d)\n", last, max(0, quantities-1-apart))
	fmt.Fprintf(&b, "require all: possible (%s)\n", join(relays, "K%d.winding is energised", " and "))
	fmt.Fprintf(&b, "require any_hot: never (%s and key is off)\n", join(quantities, "high%d", " and "))
	return b.String()
}

func join(n int, format, with string) string {
	parts := make([]string, n)
	for i := range parts {
		parts[i] = fmt.Sprintf(format, i)
	}
	return strings.Join(parts, with)
}

// BenchmarkLarge builds a design, counts its states and decides all its requirements; the
// first is the size that has to stay below a second.
func BenchmarkLarge(b *testing.B) {
	for _, size := range []struct{ quantities, relays, apart int }{
		{12, 16, 1}, {3, 4, 1}, {6, 8, 1}, {24, 32, 1}, {48, 64, 1}, {12, 16, 0}, {24, 32, 0}, {12, 16, 2}, {12, 16, 3},
	} {
		d := designs(b, "large.pintle", large(size.quantities, size.relays, size.apart))[0]
		b.Run(fmt.Sprintf("memories=%d/quantities=%d/apart=%d", len(d.Memories), size.quantities, size.apart), func(b *testing.B) {
			ctx := context.Background()
			for b.Loop() {
				s, err := system.Build(ctx, d, system.Options{})
				require.NoError(b, err)
				x, err := s.States(ctx)
				require.NoError(b, err)
				for i := range d.Requirements {
					v, err := s.Decide(ctx, &d.Requirements[i])
					require.NoError(b, err)
					if v.Outcome == system.Undecided {
						b.Fatalf("%s: %s", d.Requirements[i].Name, v.Why)
					}
				}
				b.ReportMetric(float64(x.Work.Peak), "nodes")
			}
		})
	}
}

// BenchmarkBuild makes the system alone.
func BenchmarkBuild(b *testing.B) {
	d := designs(b, "large.pintle", large(12, 16, 1))[0]
	for b.Loop() {
		_, err := system.Build(context.Background(), d, system.Options{})
		require.NoError(b, err)
	}
}
