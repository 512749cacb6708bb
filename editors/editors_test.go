//go:build unix

package editors_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/outside"
)

// The editors are given the same scenario: each of their scripts opens the headlamps of
// the examples, makes a mistake, sees it and undoes it, asks for this and that, has the
// mistake mended, lays the text out anew, and gives a part of another file a new name.

// Each scenario is written for the versions of its editor that it was tried with: it calls
// functions that others name otherwise. Those are skipped; PINTLE_ANY_VERSION=1 tries them.

func TestNeovim(t *testing.T) {
	needs(t, "nvim", `^NVIM v0\.7\.`, "--version")
	d := desktop(t)
	out := d.run(t, "nvim", "--clean", "--headless", "-n", "-i", "NONE", "-c", "luafile "+here(t, "neovim/check.lua"))
	d.verdict(t, out)
}

func TestEmacs(t *testing.T) {
	needs(t, "emacs", `emacs 28\.\d+ eglot 1\.9\b`, "--batch", "-l", "package", "--eval", "(package-initialize)", "-l", "lisp-mnt", "-l", "find-func",
		"--eval", `(princ (format "emacs %s eglot %s\n" emacs-version (lm-version (find-library-name "eglot"))))`)
	d := desktop(t)
	out := d.run(t, "emacs", "--batch", "-l", "package", "--eval", "(package-initialize)", "-l", here(t, "emacs/check.el"))
	d.verdict(t, out)
}

func TestVim(t *testing.T) {
	needs(t, "vim", `^VIM - Vi IMproved 9\.(?s:.*)\+channel`, "--version")
	needs(t, "vim", `^ALE 3\.3`, "-N", "-u", "NONE", "-i", "NONE", "-n", "-e", "-s", "-c", "silent! packadd ale",
		"-c", `verbose echo 'ALE' ale#Has('ale-3.3.0') && !ale#Has('ale-3.4.0') ? '3.3' : 'of another version'`, "-c", "qall!")
	d := desktop(t)
	d.log = filepath.Join(d.home, "log")
	d.env = append(d.env, "PINTLE_TEST_LOG="+d.log)
	d.exit = 1 // ALE ends the process without the goodbye of the protocol
	d.run(t, "vim", "--not-a-term", "-T", "dumb", "-n", "-i", "NONE", "-u", here(t, "vim/check.vim"))
	out, err := os.ReadFile(d.log)
	require.NoError(t, err)
	d.verdict(t, string(out))
}

// TestKate lets the highlighter of Kate colour a line.
func TestKate(t *testing.T) {
	needs(t, "kate-syntax-highlighter", `--syntax-trace`, "--help")
	home := t.TempDir()
	dir := filepath.Join(home, "org.kde.syntax-highlighting", "syntax")
	require.NoError(t, os.MkdirAll(dir, 0o755))
	xml, err := os.ReadFile("kate/pintle.xml")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "pintle.xml"), xml, 0o644))
	const line = `wire W1: battery.stud to F1.in, red, 4 mm2, at 20 degC # "x"`
	file := filepath.Join(home, "x.pintle")
	require.NoError(t, os.WriteFile(file, []byte(line+"\n"), 0o644))
	c := exec.CommandContext(t.Context(), "kate-syntax-highlighter", "-f", "ansi", "--syntax-trace", "format", file)
	c.Env = append(os.Environ(), "XDG_DATA_HOME="+home, "QT_QPA_PLATFORM=offscreen")
	out, err := c.Output()
	require.NoError(t, err)
	// Below the line stand the names of its formats, each where what it colours begins.
	rows := strings.Split(regexp.MustCompile("\x1b\\[[0-9;]*[mK]").ReplaceAllString(string(out), ""), "\n")
	formats := map[string]string{}
	for _, row := range rows[1:] {
		for _, at := range regexp.MustCompile(`\pL+`).FindAllStringIndex(row, -1) {
			formats[line[at[0]:at[0]+4]] = row[at[0]:at[1]]
		}
	}
	for begins, want := range map[string]string{
		"wire": "Kind", "to F": "Clause", "red,": "Colour", "4 mm": "Number", "mm2,": "Unit", "at 2": "Operator", "20 d": "Number", "degC": "Unit", "# \"x": "Comment",
	} {
		assert.Equal(t, want, formats[begins], begins)
	}
}

// needs skips a test where an editor is missing or answers otherwise than by a regular
// expression; in CI none may.
func needs(t *testing.T, editor, answer string, args ...string) {
	t.Helper()
	if os.Getenv("PINTLE_ANY_VERSION") != "" {
		answer = ""
	}
	outside.Program(t, editor, answer, args...)
}

// desk is where an editor is tested: a home of its own, a workspace, a pintle in the path.
type desk struct {
	home, workspace, trace string
	log                    string // where a script writes what it does, if that is not its output
	pintle                 string // what is found in the PATH
	env                    []string
	exit                   int // what the server is expected to end with
}

func desktop(t *testing.T) *desk {
	t.Helper()
	pintle, err := built()
	require.NoError(t, err)
	self, err := os.Executable()
	require.NoError(t, err)
	dir := t.TempDir()
	d := &desk{home: filepath.Join(dir, "home"), pintle: filepath.Join(dir, "bin", "pintle"), workspace: filepath.Join(dir, "work space"), trace: filepath.Join(dir, "trace")}
	bin := filepath.Dir(d.pintle)
	require.NoError(t, os.Mkdir(bin, 0o755))
	require.NoError(t, os.Mkdir(d.home, 0o755))
	// What the editor finds as pintle: only what serves is listened to.
	require.NoError(t, os.WriteFile(d.pintle, fmt.Appendf(nil,
		"#!/bin/sh\ncase $1 in serve) %s='%s' %s='%s' exec '%s' \"$@\";; esac\nexec '%s' \"$@\"\n",
		traceEnv, d.trace, serverEnv, pintle, self, pintle), 0o755))
	examples := here(t, "../examples")
	require.NoError(t, os.CopyFS(filepath.Join(d.workspace, "parts"), os.DirFS(filepath.Join(examples, "parts"))))
	for _, f := range []string{"headlamps.pintle", "charge_lamp.pintle", "pintle.toml"} {
		text, err := os.ReadFile(filepath.Join(examples, f))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(d.workspace, f), text, 0o644))
	}
	d.env = append(os.Environ(),
		"HOME="+d.home, "XDG_CONFIG_HOME="+d.home+"/config", "XDG_DATA_HOME="+d.home+"/data", "XDG_CACHE_HOME="+d.home+"/cache",
		"PATH="+bin+string(os.PathListSeparator)+os.Getenv("PATH"),
		"PINTLE_TEST_WORKSPACE="+d.workspace, "PINTLE_EDITORS="+here(t, "."))
	return d
}

// binDir is where the program is built; TestMain removes it.
var binDir string

// built is the program, built once.
var built = sync.OnceValues(func() (string, error) {
	var err error
	if binDir, err = os.MkdirTemp("", "pintle-editors-"); err != nil {
		return "", err
	}
	file := filepath.Join(binDir, "pintle")
	if out, err := exec.Command("go", "build", "-o", file, "pintle/cmd/pintle").CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w\n%s", err, out)
	}
	return file, nil
})

// steps are what each script has to say that it went well.
var steps = []string{
	"clean at first", "colours", "finding", "undo", "hover", "completion", "definition", "references",
	"fix", "finding gone", "format", "rename", "renamed elsewhere", "shutdown",
}

// verdict looks at what a script said, at what the workspace became, and at what the
// server sent.
func (d *desk) verdict(t *testing.T, out string) {
	t.Helper()
	for _, s := range steps {
		if !strings.Contains(out, "ok   "+s+"\n") && !strings.Contains(out, "ok   "+s+" -- ") {
			t.Errorf("not done, or not well: %s", s)
		}
	}
	ended(t, d.trace)
	k := read(t, d.trace)
	assert.Empty(t, k.Problems)
	assert.Equal(t, []int{d.exit}, k.Exits, "exit status of the servers")
	t.Logf("messages of the server that were held against the protocol: %v", k.Sent)
	if t.Failed() {
		t.Logf("%s", out)
		return
	}
	was, is := here(t, "../examples"), d.workspace
	renamed := 0
	for _, f := range []string{"headlamps.pintle", "charge_lamp.pintle", "parts/lamps.pintle", "parts/basics.pintle"} {
		before, err := os.ReadFile(filepath.Join(was, f))
		require.NoError(t, err)
		after, err := os.ReadFile(filepath.Join(is, f))
		require.NoError(t, err)
		assert.Equal(t, strings.ReplaceAll(string(before), "TwinFilament", "HeadlampBulb"), string(after), f)
		if string(before) != string(after) {
			renamed++
		}
	}
	assert.Equal(t, 2, renamed, "files in which the part was renamed")
}

// here is the path of a file of this folder.
func here(t *testing.T, name string) string {
	t.Helper()
	p, err := filepath.Abs(name)
	require.NoError(t, err)
	return p
}
