// Command mutation changes correct designs in many small ways and prints how many of the
// changes the checker sees. Run it at the top of the project:
//
//	go run ./testdata/mutation                    a sample, with claims and without
//	go run ./testdata/mutation -every 1           every mutant
//	go run ./testdata/mutation -kind turn-diode -show missed
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"strings"

	"pintle/checker/checktest/mutate"
	"pintle/checker/rules"
)

func main() {
	every := flag.Int("every", 40, "take each `n`th mutant")
	kind := flag.String("kind", "", "only mutants of this `kind`")
	only := flag.String("design", "", "only designs whose name contains this")
	show := flag.String("show", "", "tell of each mutant of a `class`: caught, equal, numbers, elsewhere, another, missed, survived, beside")
	stripped := flag.String("claims", "both", "with, without or both")
	flag.Parse()
	if err := run(*every, *kind, *only, *show, *stripped); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(every int, kind, only, show, claims string) error {
	catalogue, err := rules.All()
	if err != nil {
		return err
	}
	designs, err := mutate.Corpus(os.DirFS("."), catalogue)
	if err != nil {
		return err
	}
	for _, with := range []bool{true, false} {
		if with && claims == "without" || !with && claims == "with" {
			continue
		}
		sample := mutate.Sample{Every: every, Kind: kind, Design: only, Stripped: !with}
		outcomes, err := sample.Run(context.Background(), designs, catalogue, func(o *mutate.Outcome) {
			if show != "" && (strings.HasPrefix(o.Class.String(), show) || show == "survived" && (o.Class == mutate.Missed || o.Class == mutate.Elsewhere) || show == "beside" && (o.Beside > 1 || !o.First && o.Class == mutate.Caught)) {
				fmt.Print(o.Text())
			}
		})
		if err != nil {
			return err
		}
		if with {
			fmt.Println("with claims, drives and symptoms")
		} else {
			fmt.Println("without claims, drives and symptoms")
		}
		mutate.Table(os.Stdout, outcomes)
	}
	return nil
}
