package system_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/checktest/outside"
	"pintle/checker/checktest/soak"
	"pintle/checker/engine/system"
	"pintle/lang/model"
)

// explore lets spin visit all states of a model and returns the resting ones of each
// design.
func explore(t *testing.T, spin outside.Spin, text string) map[[2]int]bool {
	hits := map[[2]int]bool{}
	for _, hit := range spin.Hits(t, text, 4_000_000) {
		var k, code int
		_, err := fmt.Sscanf(hit, "%d %d", &k, &code)
		require.NoError(t, err)
		hits[[2]int{k, code}] = true
	}
	return hits
}

// TestAgainstSpin compares all resting states of 500 generated designs, state by state,
// with those that spin visits.
func TestAgainstSpin(t *testing.T) {
	spin := outside.FindSpin(t)
	const each = 25
	batches := soak.Times(20)
	plain := rapid.Custom(func(t *rapid.T) *model.Design { return design(t, true) })
	timed := rapid.Custom(func(t *rapid.T) *model.Design { return design(t, false) })
	compared := 0
	for batch := range batches {
		var b strings.Builder
		b.WriteString(`c_decl {
static unsigned char seen[64][1 << 19];
static void hit(int k, int code) {
  if (seen[k][code >> 3] >> (code & 7) & 1) return;
  seen[k][code >> 3] |= 1 << (code & 7);
  printf("HIT %d %d\n", k, code);
} }
byte x[20]; byte phase;
active proctype all() {
if
`)
		for k := range each {
			fmt.Fprintf(&b, ":: goto begin%d\n", k)
		}
		b.WriteString("fi;\n")
		want := map[[2]int]bool{}
		texts := map[int]*model.Design{}
		for k := range each {
			generator := timed
			if k%2 == 0 {
				generator = plain
			}
			d := generator.Example(soak.Seed() + batch*each + k)
			texts[k] = d
			p, err := newPromela(d)
			require.NoError(t, err)
			size := 1
			for _, n := range p.places {
				size *= n
			}
			require.Less(t, size, 1<<22)
			fmt.Fprintf(&b, "begin%d:\n%s", k, p.design(k))
			s, err := system.Build(context.Background(), d, system.Options{Also: allLevels(d)})
			require.NoError(t, err)
			for _, point := range states(t, s) {
				want[[2]int{k, p.code(worldOf(s, point))}] = true
			}
		}
		b.WriteString("done: skip\n}\n")
		got := explore(t, spin, b.String())
		for h := range want {
			require.True(t, got[h], "batch %d: a state of design %d is reached by the system only\n%s", batch, h[0], dump(texts[h[0]]))
		}
		for h := range got {
			require.True(t, want[h], "batch %d: a state of design %d is reached by spin only\n%s", batch, h[0], dump(texts[h[0]]))
		}
		compared += len(got)
	}
	t.Logf("%d states compared", compared)
	require.Greater(t, compared, 5000)
}
