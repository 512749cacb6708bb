package ide_test

import (
	"strings"
	"testing"

	"pintle/lsp/fake/vehicle"
	"pintle/lsp/ide"
	"pintle/lsp/ide/idetest"
)

// BenchmarkComplete offers pins at a half-typed wire of a design of 5,000 lines, with
// everything that costs more than parsing known already and not.
func BenchmarkComplete(b *testing.B) {
	text := vehicle.Design(5000) + "wire W9: K1.87 to K7.\n"
	off := len(text) - 1
	for _, known := range []bool{true, false} {
		b.Run(map[bool]string{true: "known", false: "new"}[known], func(b *testing.B) {
			v := idetest.Files(b, map[string]string{"main.pintle": text}, "main.pintle")
			for b.Loop() {
				if !known {
					b.StopTimer()
					v = idetest.Files(b, map[string]string{"main.pintle": text}, "main.pintle")
					b.StartTimer()
				}
				if _, err := ide.Complete(b.Context(), v, off, ide.CompleteOptions{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkHover asks of a wire and of a load in that design, the first time and again.
func BenchmarkHover(b *testing.B) {
	text := vehicle.Design(5000)
	for _, at := range []string{"wire W7g", "load filament", "quantity speed"} {
		off := strings.Index(text, at) + len(at) - 1
		for _, known := range []bool{true, false} {
			b.Run(at+map[bool]string{true: "/known", false: "/new"}[known], func(b *testing.B) {
				v := idetest.Files(b, map[string]string{"main.pintle": text}, "main.pintle")
				for b.Loop() {
					if !known {
						b.StopTimer()
						v = idetest.Files(b, map[string]string{"main.pintle": text}, "main.pintle")
						b.StartTimer()
					}
					if _, err := ide.HoverAt(b.Context(), v, off); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
