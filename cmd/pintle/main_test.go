package main

import (
	"errors"
	"os/exec"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"pintle": main})
}

// TestScripts runs the scripts in testdata/cli. Beside the usual commands they have
// `status N COMMAND…`, which runs a command and demands an exit status.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "../../testdata/cli",
		RequireUniqueNames:  true,
		RequireExplicitExec: true,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status": func(ts *testscript.TestScript, neg bool, args []string) {
				if neg || len(args) < 2 {
					ts.Fatalf("usage: status N COMMAND…")
				}
				want, err := strconv.Atoi(args[0])
				ts.Check(err)
				got := 0
				if err := ts.Exec(args[1], args[2:]...); err != nil {
					exit, ok := errors.AsType[*exec.ExitError](err)
					if !ok {
						ts.Fatalf("%v", err)
					}
					got = exit.ExitCode()
				}
				if got != want {
					ts.Fatalf("exit status %d, not %d", got, want)
				}
			},
		},
	})
}
