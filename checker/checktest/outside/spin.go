package outside

import (
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Spin is the model checker spin (Holzmann) with the C compiler that it needs.
type Spin struct{ spin, compiler string }

// FindSpin finds spin; see [Program].
func FindSpin(t testing.TB) Spin {
	t.Helper()
	return Spin{Program(t, "spin", `^Spin Version 6`, "-V"), Compiler(t)}
}

// Hits explores all states of a model in Promela, which prints a line `HIT …` for what it
// comes to, and returns those lines without their first word. depth bounds the moves of a run;
// spin takes memory for them. An exploration that is not
// complete fails the test.
func (s Spin) Hits(t testing.TB, model string, depth int) []string {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "m.pml"), []byte(model), 0o600); err != nil {
		t.Fatal(err)
	}
	run := func(name string, args ...string) string {
		cmd := exec.Command(name, args...)
		cmd.Dir = dir
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("%s: %v: %.2000s", name, err, out)
		}
		return string(out)
	}
	run(s.spin, "-a", "m.pml")
	run(s.compiler, "-w", "-DSAFETY", "-DNOREDUCE", "-DMEMLIM=2048", "-o", "pan", "pan.c")
	out := run("./pan", "-m"+strconv.Itoa(depth), "-w22", "-E", "-n")
	if !strings.Contains(out, "errors: 0") || strings.Contains(out, "max search depth too small") {
		t.Fatalf("spin did not visit all states: %.2000s", out)
	}
	var hits []string
	for line := range strings.Lines(out) {
		if hit, ok := strings.CutPrefix(strings.TrimSpace(line), "HIT "); ok {
			hits = append(hits, hit)
		}
	}
	return hits
}
