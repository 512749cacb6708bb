// Command try elaborates files and prints findings and dumps; a tool for building this package.
package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

type disk map[string]*syntax.File

func (l disk) Load(_ context.Context, from *syntax.File, p string) (*syntax.File, error) {
	full := filepath.Join(filepath.Dir(from.Src.Name), p)
	if f := l[full]; f != nil {
		return f, nil
	}
	b, err := os.ReadFile(full)
	if err != nil {
		return nil, err
	}
	f := syntax.Parse(source.NewFile(full, string(b)), nil)
	l[full] = f
	return f, nil
}

func main() {
	dump := os.Getenv("DUMP") != ""
	for _, name := range os.Args[1:] {
		l := disk{}
		b, _ := os.ReadFile(name)
		f := syntax.Parse(source.NewFile(name, string(b)), nil)
		l[name] = f
		r := elaborate.Elaborate(context.Background(), f, l)
		fmt.Println("==", name, len(r.Designs), "designs")
		for _, f := range r.Files {
			for _, x := range f.Findings {
				at := x.File.Position(x.Start)
				fmt.Printf("P %s:%d:%d %s: %s [%s]\n", x.File.Name, at.Line, at.Column, x.Rule, x.Message, x.Help)
			}
		}
		for _, x := range r.Findings {
			at := x.File.Position(x.Start)
			fmt.Printf("E %s:%d:%d %s: %s | %s | %s | where %q\n", x.File.Name, at.Line, at.Column, x.Rule, x.Message, x.Why, x.Help, x.Where)
		}
		if dump {
			for _, d := range r.Designs {
				model.Dump(os.Stdout, d)
				fmt.Println()
			}
		}
	}
}
