package syntax

import (
	"fmt"
	"os"
	"pintle/lang/source"
	"testing"
)

func TestSmoke(t *testing.T) {
	b, _ := os.ReadFile("testdata/intake.pintle")
	src := source.NewFile("intake.pintle", string(b))
	f := Parse(src, nil)
	for _, d := range f.Findings {
		p := src.Position(d.Start)
		fmt.Println(p.Line, p.Column, d.Rule, d.Message, "|", d.Help)
		fmt.Println("   ", src.Line(p.Line-1))
	}
	fmt.Println(len(f.All()), f.Reparsed)
	for _, s := range f.All() {
		if s.Broken || s.Kind == nil {
			fmt.Println("broken", s.Place(s.Span))
		}
	}
}
