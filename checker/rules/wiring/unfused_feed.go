package wiring

import (
	"cmp"
	"fmt"
	"slices"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

func unfusedFeed() rule.Rule {
	return rule.Rule{
		Name:     "unfused-feed",
		Severity: diag.Warning,
		Summary:  "a long wire from a battery with no fuse before it",
		Why:      "where this wire chafes through on metal, nothing opens: it burns, and the loom with it",
		Doc:      pages.Of("unfused-feed"),
		Source:   "common practice, no source; codes for caravans and boats ask for the first fuse within 7 to 18 inches of the battery",
		Needs:    rule.States,
		Run:      findUnfused,
	}
}

// bareWay is a wire that a supply reaches without a fuse.
type bareWay struct {
	wire  *model.Wire
	first int          // thin wire, in Design.Wires, by which the plus or what is thick is left
	from  model.NodeID // where that begins
	bare  float64      // m of thin wire from there to the far end of this one
}

func findUnfused(p *rule.Pass) {
	if p.Design.Bench { // a bench is no loom: it stands on a table for as long as a test lasts
		return
	}
	v := look(p)
	told := map[int]bool{}
	for i := range v.d.Supplies {
		s := &v.d.Supplies[i]
		if s.Broken || v.d.Elements[s.Element].OneWay {
			continue
		}
		ways := v.bareFrom(s.Plus)
		for first := range v.d.Wires {
			var long []bareWay
			for _, b := range ways {
				if b.first == first && b.bare > p.Limits.UnfusedLength {
					long = append(long, b)
				}
			}
			if len(long) == 0 || told[first] {
				continue
			}
			told[first] = true
			w := &v.d.Wires[first]
			most := slices.MaxFunc(long, func(a, b bareWay) int { return cmp.Compare(a.bare, b.bare) })
			f := diag.Finding{
				Place:   evidence.Site(v.d, &w.Info),
				Subject: w.Path,
				Message: fmt.Sprintf("%s is fed by %s for %s without a fuse", w.Path, s.Path, unit.Format(most.bare, unit.Length)),
				Help: fmt.Sprintf("put a fuse that suits the wire within %s of %s",
					unit.Format(p.Limits.UnfusedLength, unit.Length), v.d.Nodes[most.from].Path),
			}
			if most.wire != w {
				f.Message = fmt.Sprintf("%s and what follows it to the end of %s are fed by %s for %s without a fuse",
					w.Path, most.wire.Path, s.Path, unit.Format(most.bare, unit.Length))
			}
			var lines []diag.Line
			slices.SortStableFunc(long, func(a, b bareWay) int { return cmp.Compare(a.bare, b.bare) })
			for _, b := range long {
				lines = append(lines, evidence.Line(&b.wire.Info, "%s: %s without a fuse from %s up to its end",
					b.wire.Path, unit.Format(b.bare, unit.Length), v.d.Nodes[b.from].Path))
			}
			f.Evidence = []diag.Evidence{evidence.Values("wires that nothing protects", lines...)}
			p.Report(f)
		}
	}
}

// bareFrom follows metal from a plus up to fuses and ground. Thick wires, and contacts,
// count nothing; a wire of which size or length are not stated is not followed, since
// nothing is known of it. The shortest way counts.
func (v *view) bareFrom(plus model.NodeID) []bareWay {
	type at struct {
		bare  float64
		first int
		from  model.NodeID
	}
	best := map[model.NodeID]at{plus: {0, model.None, plus}}
	done := map[model.NodeID]bool{}
	found := map[int]bareWay{}
	bare := map[model.ElementID]bool{} // reached in some state
	for _, id := range fusings.Of(v.p).bare {
		bare[id] = true
	}
	for {
		n, ok := model.NodeID(model.None), false
		for i := range v.d.Nodes { // the nearest that is not done, in order of nodes
			id := model.NodeID(i)
			if b, in := best[id]; in && !done[id] && (!ok || b.bare < best[n].bare) {
				n, ok = id, true
			}
		}
		if !ok {
			break
		}
		done[n] = true
		if n == v.d.Ground {
			continue
		}
		here := best[n]
		for i := range v.d.Elements {
			e := &v.d.Elements[i]
			if e.A != n && e.B != n || !passes(e) || e.Broken || e.Type == model.ElemFuse || e.Type == model.ElemDiode && e.A != n {
				continue
			}
			if !bare[model.ElementID(i)] {
				continue
			}
			next := here
			if e.Type == model.ElemWire {
				w := &v.d.Wires[e.Of]
				if !w.AreaSet || !w.LenSet {
					continue
				}
				if w.Area < v.p.Limits.UnfusedArea {
					if next.first == model.None {
						next.first, next.from = e.Of, n
					}
					next.bare += w.Length
					if b, ok := found[e.Of]; !ok || next.bare < b.bare {
						found[e.Of] = bareWay{w, next.first, next.from, next.bare}
					}
				}
			}
			other := e.A + e.B - n
			if b, in := best[other]; !in || next.bare < b.bare {
				best[other] = next
			}
		}
	}
	var out []bareWay
	for i := range v.d.Wires {
		if b, ok := found[i]; ok {
			out = append(out, b)
		}
	}
	return out
}
