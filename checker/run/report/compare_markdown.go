package report

import (
	"bufio"
	"fmt"
	"io"

	"pintle/checker/question/compare"
	"pintle/checker/run"
	"pintle/lang/escape"
)

// compareMarkdown writes a comparison for a review: what differs as a table, with the drives that
// show it below.
func compareMarkdown(w io.Writer, r *run.CompareResult) error {
	out := bufio.NewWriter(w)
	for i := range r.Files {
		if i > 0 {
			fmt.Fprintln(out)
		}
		f := &r.Files[i]
		switch {
		case f.Old == "":
			fmt.Fprintf(out, "## %s is new\n", escape.Code(f.New))
			continue
		case f.New == "":
			fmt.Fprintf(out, "## %s is gone\n", escape.Code(f.Old))
			continue
		}
		fmt.Fprintf(out, "## %s\n\n%s is the old design, %s the new one.\n", markdownOf(f.Title), escape.Code(f.Old), escape.Code(f.New))
		for k := range f.Designs {
			if d := &f.Designs[k]; d.Design != "" {
				fmt.Fprintf(out, "\n### %s\n", markdownOf(d.Design))
			}
			markdownDesign(out, &f.Designs[k])
		}
		markdownList(out, "Findings", len(f.Findings), func(i int) string {
			c := &f.Findings[i]
			return fmt.Sprintf("%s: %d before, %d now", c.Rule, c.Old, c.New)
		})
	}
	return out.Flush()
}

func markdownOf(s string) string { return escape.Markdown(escape.Line(s)) }

func markdownDesign(out io.Writer, d *run.ComparedDesign) {
	if d.Why != "" {
		fmt.Fprintf(out, "\n**Undecided**: %s\n", markdownOf(d.Why))
		return
	}
	head := map[string]string{"same": "The same in behaviour", "different": "Different in behaviour", "undecided": "Undecided"}[outcomeOf(d)]
	fmt.Fprintf(out, "\n**%s**: %s compared, %s.\n", head, count(d.Outputs, "output"), within(&d.Result))
	if len(d.Differences) > 0 {
		g := grid{titles: []string{"what", "was", "is", "where"}, right: make([]bool, 4)}
		for i := range d.Differences {
			x := &d.Differences[i]
			g.rows = append(g.rows, []string{x.Kind + " " + x.Name, orNot(x.Was), orNot(x.Is), whereText(x)})
		}
		fmt.Fprintln(out)
		g.markdown(out)
	}
	for i := range d.Differences {
		if x := &d.Differences[i]; x.As < 0 && x.Drive != "" {
			fmt.Fprintf(out, "\n%s:\n\n%s\n", markdownOf(headline(x)), escape.Fence("pintle", x.Drive))
		}
	}
	markdownList(out, "Inputs and durations", len(d.Inputs)+len(d.Durations), func(i int) string { return append(append([]string{}, d.Inputs...), d.Durations...)[i] })
	both := append(outputLines("only the old design has the", d.Lost), outputLines("only the new design has the", d.Gained)...)
	markdownList(out, "Gone and new", len(both), func(i int) string { return both[i] })
	markdownList(out, "Undecided", len(d.Open), func(i int) string { return openText(&d.Open[i]) })
	markdownList(out, "Claims", len(d.Claims), func(i int) string { return claimText(&d.Claims[i]) })
	markdownList(out, "Values and joins", len(d.Changes), func(i int) string { return changeText(&d.Changes[i]) })
	markdownList(out, "Renamed", len(d.Renamed), func(i int) string { return renameText(&d.Renamed[i]) })
}

// orNot stands for a state that there is none of.
func orNot(state string) string {
	if state == "" {
		return "-"
	}
	return state
}

func markdownList(out io.Writer, head string, n int, line func(int) string) {
	if n == 0 {
		return
	}
	fmt.Fprintf(out, "\n**%s**\n\n", head)
	for i := range n {
		fmt.Fprintf(out, "- %s\n", markdownOf(line(i)))
	}
}

func outputLines(before string, os []compare.Output) []string {
	var out []string
	for _, o := range os {
		out = append(out, before+" "+o.Kind+" "+o.Name)
	}
	return out
}
