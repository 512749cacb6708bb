package ide_test

import (
	"strings"
	"testing"

	"pintle/checker/checktest/library"
	"pintle/lsp/ide/complete"
	"pintle/lsp/ide/hover"
	"pintle/lsp/ide/idetest"
)

// BenchmarkComplete asks in half-typed wires at the end of a design of 5,000 lines, whose
// names are known: for the pins of a fit, and for everything that a wire can begin at.
func BenchmarkComplete(b *testing.B) {
	for what, line := range map[string]string{"pins": "wire W9: K1.87 to K7.", "names": "wire W9: ", "condition": "condition c: "} {
		b.Run(what, func(b *testing.B) {
			text := library.Design(5000) + line + "\n"
			v := idetest.Files(b, map[string]string{"main.pintle": text}, "main.pintle")
			for b.Loop() {
				if _, err := complete.At(b.Context(), v, len(text)-1, complete.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkHover asks of a wire and of a load in that design: the first time with nothing
// known, the first time after the full verdict, and again.
func BenchmarkHover(b *testing.B) {
	text := library.Design(5000)
	files := map[string]string{"main.pintle": text}
	for _, at := range []string{"wire W7g", "load filament", "quantity speed"} {
		off := strings.Index(text, at) + len(at) - 1
		for _, known := range []string{"nothing", "verdict", "answer"} {
			b.Run(at+"/"+known, func(b *testing.B) {
				v := idetest.Files(b, files, "main.pintle")
				for b.Loop() {
					if known != "answer" {
						b.StopTimer()
						v = idetest.Files(b, files, "main.pintle")
						if known == "verdict" {
							if _, err := v.Root.Check(b.Context()); err != nil {
								b.Fatal(err)
							}
						}
						b.StartTimer()
					}
					if _, err := hover.At(b.Context(), v, off); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
