package fault

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"pintle/checker/run"
	"pintle/checker/system"
	"pintle/lang/model"
)

func TestProbe(t *testing.T) {
	files, _ := filepath.Glob("../../examples/*.pintle")
	for _, f := range files {
		if k := os.Getenv("EX"); k != "" && filepath.Base(f) != k+".pintle" {
			continue
		}
		for _, d := range designsOf(t, f) {
			probe(t, filepath.Base(f), d)
		}
	}
	_ = os.Args
	_ = run.Extension
}

func probe(t *testing.T, name string, d *model.Design) {
	ctx := context.Background()
	t0 := time.Now()
	fs := Generate(d)
	gen := time.Since(t0)
	s0, err := system.Build(ctx, d, system.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var sound []system.Verdict
	for i := range d.Requirements {
		v, err := s0.Decide(ctx, &d.Requirements[i])
		if err != nil {
			t.Fatal(err)
		}
		sound = append(sound, v)
	}
	var tb, td, tm time.Duration
	broke := map[string][]string{}
	n := 0
	for i := range fs {
		t1 := time.Now()
		s, err := Build(ctx, d, &fs[i], false, system.Options{})
		if err != nil {
			t.Fatal(fs[i].Words, err)
		}
		tb += time.Since(t1)
		for k := range d.Requirements {
			r := &d.Requirements[k]
			if r.Form == model.Possible || sound[k].Outcome != system.Holds {
				continue
			}
			t2 := time.Now()
			v, b, err := s.Requirement(ctx, r)
			if err != nil {
				t.Fatal(err)
			}
			e := time.Since(t2)
			if e > 500*time.Millisecond {
				fmt.Println("   slow", fs[i].Words, r.Name, e, v.Outcome, v.Work)
			}
			td += e
			tm = max(tm, e)
			n++
			if b {
				broke[r.Name] = append(broke[r.Name], "BEYOND "+fs[i].Words)
			}
			if v.Outcome != system.Holds || v.NominalOnly {
				broke[r.Name] = append(broke[r.Name], fs[i].Words+" "+v.Outcome.String()+" "+v.Why)
			}
		}
	}
	fmt.Printf("%s %s: %d faults, gen %v build %v decide %v (max %v, n %d)\n", name, d.Name, len(fs), gen, tb, td, tm, n)
	for k, v := range broke {
		fmt.Printf("   %s: %d %.300s\n", k, len(v), fmt.Sprint(v))
	}
}
