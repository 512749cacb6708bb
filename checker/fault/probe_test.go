package fault

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"pintle/checker/system"
	"pintle/lang/model"
)

func TestProbe(t *testing.T) {
	files, _ := filepath.Glob("../../examples/*.pintle")
	ctx := context.Background()
	for _, f := range files {
		if k := os.Getenv("EX"); k != "" && filepath.Base(f) != k+".pintle" {
			continue
		}
		for _, d := range designsOf(t, f) {
			if d.Bench {
				continue
			}
			s := NewSweep(d, Options{MaxFaults: 400})
			t0 := time.Now()
			var conds []*model.Cond
			for i := range d.Symptoms {
				conds = append(conds, d.Symptoms[i].Cond)
			}
			ex, err := s.Explain(ctx, conds)
			if err != nil {
				t.Fatal(err)
			}
			t1 := time.Now()
			var reqs []int
			sound, _ := system.Build(ctx, d, system.Options{})
			for i := range d.Requirements {
				if v, _ := sound.Decide(ctx, &d.Requirements[i]); v.Outcome == system.Holds {
					reqs = append(reqs, i)
				}
			}
			t2 := time.Now()
			res, err := s.Despite(ctx, reqs)
			if err != nil {
				t.Fatal(err)
			}
			fmt.Printf("%s %s: faults %d groups %d explain %v despite %v\n", filepath.Base(f), d.Name, len(s.faults), len(s.groups), t1.Sub(t0), time.Since(t2))
			for i, e := range ex {
				by := ""
				if e.By != nil {
					by = e.By.Words
				}
				fmt.Println("   symptom", d.Symptoms[i].Name, e.Outcome, e.Why, by)
			}
			for k, r := range res {
				fmt.Println("   require", d.Requirements[reqs[k]].Name, r.Outcome, r.Why, "cone", r.Cone, "beyond", len(r.Beyond), "failures", len(r.Failures))
				for j, x := range r.Failures {
					if j < 3 {
						fmt.Println("        ", x.Faults[0].Words, x.Corner)
					}
					if j == 0 && os.Getenv("V") != "" {
						for _, l := range x.Moves {
							fmt.Println("             ", l.Text)
						}
					}
				}
			}
		}
	}
}
