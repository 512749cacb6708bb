package system_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/library"
	"pintle/checker/engine/system"
	"pintle/lang/elaborate/elaboratetest"
)

// large is a coupled design with claims about its last relay, and one about all relays at once.
func large(quantities, relays, length int) string {
	var b strings.Builder
	b.WriteString(library.Coupled(quantities, relays, length))
	last := relays - 1
	fmt.Fprintf(&b, "require no_key: never (K%d.winding is energised and key is off)\n", last)
	fmt.Fprintf(&b, "require comes: possible K%d.winding is energised\n", last)
	fmt.Fprintf(&b, "require blocked: never (K%d.winding is energised and high%d)\n", last, max(0, quantities-2))
	fmt.Fprintf(&b, "require far_apart: possible (K0.winding is energised and not K%d.winding is energised)\n", last)
	fmt.Fprintf(&b, "require all: possible (%s)\n", join(relays, "K%d.winding is energised", " and "))
	return b.String()
}

func join(n int, format, with string) string {
	parts := make([]string, n)
	for i := range parts {
		parts[i] = fmt.Sprintf(format, i)
	}
	return strings.Join(parts, with)
}

// decideAll builds a design and decides its requirements; the last one speaks of all
// relays at once. Where a question is undecided, that is reported: it is where this ends.
func decideAll(b *testing.B, quantities, relays, length int, last bool) {
	d := elaboratetest.Designs(b, "large.pintle", large(quantities, relays, length))[0]
	rs := d.Requirements[:len(d.Requirements)-1]
	if last {
		rs = d.Requirements[len(d.Requirements)-1:]
	}
	b.Run(fmt.Sprintf("memories=%d/quantities=%d/chain=%d", len(d.Memories), quantities, length), func(b *testing.B) {
		ctx := context.Background()
		for b.Loop() {
			s, err := system.Build(ctx, d, system.Options{})
			require.NoError(b, err)
			undecided, peak := 0, 0
			for i := range rs {
				v, err := s.Decide(ctx, &rs[i])
				require.NoError(b, err)
				if v.Outcome == system.Undecided {
					undecided++
				}
				peak = max(peak, v.Work.Peak)
			}
			b.ReportMetric(float64(peak), "nodes")
			b.ReportMetric(float64(undecided), "undecided")
		}
	})
}

// BenchmarkLarge decides requirements of one or two relays each, in designs in which
// chains of relays couple what would otherwise be decided apart. 40 memories and 12
// quantities have to stay below a second.
func BenchmarkLarge(b *testing.B) {
	for _, size := range [][3]int{{12, 16, 4}, {3, 4, 4}, {6, 8, 4}, {24, 32, 4}, {96, 128, 4}, {384, 512, 4}, {6, 8, 8}, {12, 16, 16}} {
		decideAll(b, size[0], size[1], size[2], false)
	}
}

// BenchmarkAllAtOnce decides a requirement that speaks of every relay.
func BenchmarkAllAtOnce(b *testing.B) {
	for _, size := range [][3]int{{3, 4, 4}, {6, 8, 4}, {12, 16, 4}} {
		decideAll(b, size[0], size[1], size[2], true)
	}
}

// BenchmarkStates counts the states of whole designs, which no slice makes smaller.
func BenchmarkStates(b *testing.B) {
	for _, size := range []struct{ quantities, relays, length int }{{3, 4, 4}, {6, 8, 4}, {12, 16, 4}} {
		d := elaboratetest.Designs(b, "large.pintle", large(size.quantities, size.relays, size.length))[0]
		b.Run(fmt.Sprintf("memories=%d/quantities=%d/chain=%d", len(d.Memories), size.quantities, size.length), func(b *testing.B) {
			for b.Loop() {
				s, err := system.Build(context.Background(), d, system.Options{})
				require.NoError(b, err)
				_, err = s.States(context.Background())
				require.NoError(b, err)
			}
		})
	}
}

// BenchmarkBuild makes the system alone.
func BenchmarkBuild(b *testing.B) {
	d := elaboratetest.Designs(b, "large.pintle", large(12, 16, 4))[0]
	for b.Loop() {
		_, err := system.Build(context.Background(), d, system.Options{})
		require.NoError(b, err)
	}
}
