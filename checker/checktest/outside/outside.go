// Package outside finds the programs from outside of the project that tests hold results
// against. A test that needs one is skipped with the reason where it is missing or is
// not what is meant: another program of that name, another version, one without the
// plugin. Where CI=true all of them have to be there, so that is a failure.
package outside

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// patience is how long a program may take to say its version.
const patience = 30 * time.Second

// Program returns the path of a program that answers some arguments with a line that matches
// a regular expression (^ and $ are the ends of a line: many programs warn of something
// first), and ends the test otherwise.
func Program(t testing.TB, name, answer string, args ...string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		Missing(t, "%s is not installed", name)
	}
	said, err := ask(t, path, args...)
	if !regexp.MustCompile("(?m)" + answer).MatchString(said) {
		Missing(t, "%s %s does not answer %q but %q (%v)", name, strings.Join(args, " "), answer, last(said), err)
	}
	return path
}

// Compiler returns the path of a C compiler that makes a program that runs: many machines
// have one without the headers of the library.
func Compiler(t testing.TB) string {
	t.Helper()
	path, err := exec.LookPath("gcc")
	if err != nil {
		Missing(t, "gcc is not installed")
	}
	dir := t.TempDir()
	text, program := filepath.Join(dir, "probe.c"), filepath.Join(dir, "probe")
	if err := os.WriteFile(text, []byte("#include <stdio.h>\nint main(void) { return puts(\"compiled\") < 0; }\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if said, err := ask(t, path, "-o", program, text); err != nil {
		Missing(t, "gcc compiles nothing: %v: %s", err, last(said))
	}
	if said, err := ask(t, program); strings.TrimSpace(said) != "compiled" {
		Missing(t, "what gcc compiles does not run: %v: %s", err, last(said))
	}
	return path
}

// Missing ends a test for want of a program, with the reason.
func Missing(t testing.TB, reason string, args ...any) {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatalf(reason, args...)
	}
	t.Skipf(reason, args...)
}

// ask runs a program, without a screen or anything to read.
func ask(t testing.TB, path string, args ...string) (string, error) {
	ctx, stop := context.WithTimeout(t.Context(), patience)
	defer stop()
	c := exec.CommandContext(ctx, path, args...)
	c.Env = append(os.Environ(), "QT_QPA_PLATFORM=offscreen", "LC_ALL=C")
	c.WaitDelay = time.Second
	out, err := c.CombinedOutput()
	return string(out), err
}

// last is the last line of a text: what a program complains of in the end.
func last(text string) string {
	text = strings.TrimSpace(text)
	return text[strings.LastIndex(text, "\n")+1:]
}
