package circuits

import (
	"fmt"
	"strings"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func diodeAcrossFeed() rule.Rule {
	return rule.Rule{
		Name:     "diode-across-feed",
		Severity: diag.Error,
		Summary:  "a diode that conducts straight from a feed to earth, with no load in the way",
		Why:      "a clamp diode the wrong way round is a short circuit: the fuse blows, or the diode or the driver burns, when the winding is switched on",
		Doc:      pages.Of("diode-across-feed"),
		Fixable:  true,
		Needs:    rule.States,
		Run:      findDiodesAcross,
	}
}

func findDiodesAcross(p *rule.Pass) {
	v := look(p)
	told := map[model.ElementID]bool{} // diodes on a way that was told
	for i := range v.d.Diodes {
		k := &v.d.Diodes[i]
		if k.Broken || told[k.Element] {
			continue
		}
		e := &v.d.Elements[k.Element]
		if e.Broken {
			continue
		}
		c := system.All(ask.Live(e.A), v.returns(e.B), ask.AtLeast(ask.Current(k.Element), 1))
		st, ok := v.find(&k.Info, c)
		if ok != ask.Yes {
			continue
		}
		way := st.way(k.Element)
		if len(way) == 0 || !v.bare(way[1:]) {
			continue
		}
		for _, s := range way {
			told[s.Element] = true
		}
		help := "turn the diode round: its cathode belongs on the side of the feed"
		if at, _, ok := strings.Cut(k.Path, "."); ok && evidence.OfPart(v.d, &k.Info) {
			help = fmt.Sprintf("change over the two wires at %s that the diode lies across", at)
		}
		amps := st.Through(k.Element)
		v.p.Report(diag.Finding{
			Numbers: evidence.Numbers(amps),
			Message: fmt.Sprintf("%s lies across the feed and conducts: %s from %s to %s", k.Path, amps, v.d.Nodes[e.A].Path, v.d.Nodes[e.B].Path),
			Place:   evidence.Site(v.d, &k.Info),
			Subject: k.Path,
			Help:    help,
			Fixes:   evidence.TurnRound(v.d, &k.Info),
			Evidence: append([]diag.Evidence{st.Path("current path", way)},
				evidence.Moves("how it comes about", st.trace)...),
		})
	}
}

// bare reports whether a way runs through metal and diodes only.
func (v *view) bare(way []circuit.Step) bool {
	for _, s := range way {
		if e := &v.d.Elements[s.Element]; !e.Metal && e.Type != model.ElemDiode {
			return false
		}
	}
	return true
}
