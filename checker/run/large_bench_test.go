package run_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"pintle/checker/checktest/library"
	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// coupled is a design of many memories with claims about its last relay.
func coupled(quantities, relays int) string {
	var b strings.Builder
	b.WriteString(library.Coupled(quantities, relays, 4))
	fmt.Fprintf(&b, "require hot: possible (K%d.winding is energised and high%d)\n", relays-1, quantities-1)
	fmt.Fprintf(&b, "require no_key: never (K%[1]d.winding is energised and key is off)\nrequire comes: possible K%[1]d.winding is energised\n", relays-1)
	return b.String()
}

// checkText checks one design that is in order with all rules.
func checkText(b *testing.B, text string) {
	b.Helper()
	catalogue, err := rules.All()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		file := syntax.Parse(source.NewFile("design.pintle", text), nil)
		r := run.File(context.Background(), run.FileRequest{Plan: run.Plan{Catalogue: catalogue}, Root: file, Settings: settings.Default()})
		if len(r.Failures) > 0 {
			b.Fatal(r.Failures[0])
		}
		if len(r.Findings) > 0 { // among them what stayed undecided
			b.Fatalf("%s: %s", r.Findings[0].Rule, r.Findings[0].Message)
		}
	}
}

// BenchmarkCoupled checks a design of many memories with all rules. 40 memories and 12
// quantities have to stay below a second, with nothing undecided.
func BenchmarkCoupled(b *testing.B) {
	for _, size := range [][2]int{{3, 4}, {6, 8}, {12, 16}, {24, 32}, {48, 64}} {
		b.Run(fmt.Sprintf("memories=%d/quantities=%d", 2*size[0]+size[1], size[0]), func(b *testing.B) {
			checkText(b, coupled(size[0], size[1]))
		})
	}
}

// BenchmarkContacts checks a design of switches on one rail with all rules. Ten have to
// stay below 20 ms.
func BenchmarkContacts(b *testing.B) {
	for _, n := range []int{2, 5, 10, 12, 16, 20, 40} {
		b.Run(fmt.Sprintf("contacts=%d", n), func(b *testing.B) { checkText(b, library.Contacts(n)) })
	}
}
