package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/checktest/golden"
	"pintle/checker/run"
	"pintle/checker/run/report/reporttest"
	"pintle/lang/schema"
)

// said runs a verb and gives what it says and its status.
func said(t *testing.T, input string, args ...string) (out, errs string, status int) {
	t.Helper()
	var o, e bytes.Buffer
	status = execute(t.Context(), args, stdio{in: strings.NewReader(input), out: &o, err: &e})
	return o.String(), e.String(), status
}

// TestListsOfExamples: each list in each form.
func TestListsOfExamples(t *testing.T) {
	t.Chdir(filepath.Join(packageFolder, "../.."))
	for _, what := range run.Lists() {
		for form, end := range map[string]string{"text": ".txt", "csv": ".csv", "markdown": ".md"} {
			out, errs, status := said(t, "", "list", what, "examples/headlamps.pintle", "--as", form)
			assert.Zero(t, status, errs)
			golden.Check(t, "cmd/pintle/testdata/list/"+what+end, out)
		}
		for _, example := range []string{"headlamps", "two_speed_fan"} {
			args := []string{"list", what, "examples/" + example + ".pintle", "--as", "json"}
			if what == "wires" {
				args = append(args, "--currents", "--protection")
			}
			out, errs, status := said(t, "", args...)
			assert.Zero(t, status, errs)
			reporttest.Conforms(t, "checker/run/report/list.schema.json", []byte(out))
		}
	}
}

// TestListsSayWhatOthersSay: the current of a wire is that of `ask`, what opens that of `faults`.
func TestListsSayWhatOthersSay(t *testing.T) {
	t.Chdir(filepath.Join(packageFolder, "../.."))
	out, _, _ := said(t, "", "list", "wires", "examples/headlamps.pintle", "--currents", "--protection", "--as", "csv")
	asked, _, _ := said(t, "", "ask", "examples/headlamps.pintle", "current through W1")
	assert.Contains(t, asked, "within tolerances: 0 A to 86.65 A")
	assert.Contains(t, out, "W1,battery.stud,F1.in,red,RD,4,0.3,1.2931,86.65")
	table, _, _ := said(t, "", "faults", "examples/headlamps.pintle", "--of", "W6")
	assert.Contains(t, table, "F5.link opens first")
	assert.Regexp(t, `W6,.*,F5\.link\n`, out)
}

func TestListRefuses(t *testing.T) {
	t.Chdir(filepath.Join(packageFolder, "../.."))
	for _, c := range []struct{ says, args string }{
		{`there is no list of "hoses"`, "list hoses examples/headlamps.pintle"},
		{"list takes what to list", "list wires"},
		{"--as takes", "list wires examples/headlamps.pintle --as pdf"},
		{"only the list of wires says what protects", "list pins examples/headlamps.pintle --protection"},
		{"only the lists of wires and fuses say currents", "list parts examples/headlamps.pintle --currents"},
		{"no option", "list wires examples/headlamps.pintle --option trim=rich"},
		{"wires takes one list", "wires"},
		{"nowhere.csv", "wires nowhere.csv"},
	} {
		out, errs, status := said(t, "", strings.Fields(c.args)...)
		assert.Equal(t, 2, status, c.args)
		assert.Empty(t, out)
		assert.Contains(t, errs, c.says)
	}
}

// TestWiresOfAList: what a list says, and what is wrong in it, line by line. The letters of
// colours are those of IEC 60757; further short forms are common practice, no source.
func TestWiresOfAList(t *testing.T) {
	t.Chdir(filepath.Join(packageFolder, "../.."))
	for _, c := range []struct{ name, list, out, errs string }{
		{"letters, a comma in numbers, millimetres, a mark of byte order, ends of Windows",
			"\ufeffWire No;From connector;From pin;To;Color;Size (mm2);Length (mm)\r\nW71;E1;31;body;bnwh;1,5;1200\r\n",
			"wire W71: E1.31 to body, brown/white, 1.5 mm2, 1200 mm\n", "1 wire written, 0 not taken\n"},
		{"gauges", "name,from,to,awg,length\nW71,E1.31,body,16,2\nW72,E1.31,body,2/0,50 cm\n",
			"wire W71: E1.31 to body, 16 AWG, 2 m\nwire W72: E1.31 to body, 2/0 AWG, 50 cm\n", "2 wires written, 0 not taken\n"},
		{"tabs", "wire\tfrom\tto\tcolour\nW71\tE1.31\tbody\tlight green\n", "wire W71: E1.31 to body, light green\n", "1 wire written, 0 not taken\n"},
		{"in the design already, either way round",
			"wire,from,to,colour,size,length\nW1,F1.in,battery.stud,RD,4,0.3\n", "", "0 wires written, 1 in the design already, 0 not taken\n"},
		{"in the design otherwise", "wire,from,to,colour,size,length\nW1,battery.stud,F1.in,RD,2.5,0.3\n", "",
			"-:2: W1: the design has this wire otherwise: battery.stud to F1.in, red, 4 mm2, 0.3 m\n0 wires written, 1 not taken\n"},
		{"a pin that is not there", "wire,from,to\nW71,E1.31,E1.nowhere\nW72,E1.31,body\n", "wire W72: E1.31 to body\n",
			"-:2: W71: `E1` has no `nowhere`\n1 wire written, 1 not taken\n"},
		{"cells", "wire,from,to,colour,size,length,bundle\nW71,E1.31,body,bleu,1,1,A\nW72,E1.31,body,RD,thick,1,A\nW73,E1.31,body,RD,1,far,A\n,E1.31,body,RD,1,1,A\nW74,E1.31,,RD,1,1,A\n\nW75,E1.31,body,RD,17/3 AWG,1,A\nW.76 x,E1.31,body\n",
			"", "-:2: W71: \"bleu\" is no colour that is known; it may mean blue\n" +
				"-:3: W72: \"thick\" is no cross-section; write it in mm2 or as an AWG size\n" +
				"-:4: W73: \"far\" is no length; write it in mm, cm or m\n" +
				"-:5: the column \"name\" is empty\n-:6: W74: the column \"to\" is empty\n" +
				"-:8: W75: \"17/3\" is not an AWG size: sizes are whole numbers from 40 (thinnest) down to 0, then 2/0, 3/0 and 4/0\n"},
		{"twice", "wire,from,to\nW71,E1.31,body\nW71,E1.31,body\nW71,E2.31,body\n", "wire W71: E1.31 to body\n",
			"-:4: W71: line 2 names another wire so: wire W71: E1.31 to body\n1 wire written, 1 not taken\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			out, errs, status := said(t, c.list, "wires", "-", "--for", "examples/headlamps.pintle")
			assert.Equal(t, c.out, out)
			assert.True(t, strings.HasPrefix(errs, c.errs), errs)
			want := 0
			if !strings.Contains(errs, " 0 not taken") {
				want = 1
			}
			assert.Equal(t, want, status)
		})
	}
	for _, c := range []struct{ list, says string }{
		{"", "the list is empty"}, {"wire,colour\nW1,RD\n", `names no column "from"`}, {"wire,from,to,colour,color\n", "two columns of the list hold the same"},
	} {
		out, errs, status := said(t, c.list, "wires", "-")
		assert.Equal(t, 2, status)
		assert.Empty(t, out)
		assert.Contains(t, errs, c.says)
	}
}

// TestWiresThereAndBack: the wires of a random design, listed and read again, are the same wires.
func TestWiresThereAndBack(t *testing.T) {
	folder := t.TempDir()
	colours := append(schema.Colours(), "light green", "dark blue")
	rapid.Check(t, func(r *rapid.T) {
		text := "ground body\nnode a, b\nsupply battery: 12 V, from body to stud\n"
		ends := []string{"body", "a", "b", "battery.stud"}
		for i := range rapid.IntRange(1, 6).Draw(r, "wires") {
			pair := rapid.Permutation(ends).Draw(r, "ends")
			text += "wire W" + string(rune('1'+i)) + ": " + pair[0] + " to " + pair[1]
			if rapid.Bool().Draw(r, "coloured") {
				text += ", " + rapid.SampledFrom(colours).Draw(r, "base")
				if rapid.Bool().Draw(r, "striped") {
					text += "/" + rapid.SampledFrom(schema.Colours()).Draw(r, "stripe")
				}
			}
			text += rapid.SampledFrom([]string{"", ", 0.35 mm2", ", 2.5 mm2", ", 18 AWG"}).Draw(r, "size")
			text += rapid.SampledFrom([]string{"", ", 1.25 m", ", 40 cm", ", 5 ft"}).Draw(r, "length") + "\n"
		}
		file := filepath.Join(folder, "d.pintle")
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
		list, errs, status := said(t, "", "list", "wires", file, "--as", "csv")
		require.Zero(t, status, errs)
		statements, errs, status := said(t, list, "wires", "-")
		require.Zero(t, status, errs)
		head, _, _ := strings.Cut(text, "wire ")
		require.NoError(t, os.WriteFile(file, []byte(head+statements), 0o600))
		again, errs, status := said(t, "", "list", "wires", file, "--as", "csv")
		require.Zero(t, status, errs)
		require.Equal(t, list, again)
		_, errs, status = said(t, list, "wires", "-", "--for", file)
		require.Zero(t, status, errs)
		require.Contains(t, errs, "0 wires written")
	})
}

// TestListOfBothHalves: a connector between two harnesses has wires in both halves, and a wire to
// ground has no short to ground.
func TestListOfBothHalves(t *testing.T) {
	file := filepath.Join(t.TempDir(), "d.pintle")
	require.NoError(t, os.WriteFile(file, []byte(`ground body
supply battery: 12 V, from body to stud
fuse F1: battery.stud to rail, 5 A
node rail, on, off
load lamp: on to off, 5 W at 12 V, lit from 60 %
connector C1: 1 way
wire W1: rail to C1.1
wire W2: C1.1 to on
wire W3: off to body
`), 0o600))
	out, errs, status := said(t, "", "list", "connectors", file, "--as", "csv")
	assert.Zero(t, status, errs)
	assert.Equal(t, "connector,colour,key,way,wires,plugs_onto\nC1,,,1,\"W1, W2\",\n", out)
	out, _, _ = said(t, "", "list", "wires", file, "--protection", "--as", "csv")
	assert.Regexp(t, `W1,.*,F1\n`, out)
	assert.Regexp(t, `W3,.*,a short to ground draws no current\n`, out)
}
