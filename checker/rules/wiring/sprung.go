package wiring

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// spring is a setting that returns by itself from some of its positions.
type spring struct {
	*model.Setting
	from []int
	held system.Condition // it stands in one of them
}

// springs lists the settings that can be held against a spring.
func (v *view) springs() []spring {
	var out []spring
	for i := range v.d.Settings {
		k := &v.d.Settings[i]
		if len(k.Springs) == 0 || k.Broken {
			continue
		}
		h := spring{Setting: k}
		for _, s := range k.Springs {
			h.from = append(h.from, s.From)
		}
		slices.Sort(h.from)
		h.from = slices.Compact(h.from)
		h.held = ask.Atom(model.Atom{Kind: model.AtomSetting, Index: i, In: h.from})
		out = append(out, h)
	}
	return out
}

// heldFor says in words what has to be held against its spring for a current to run as it
// does at a peak: " while push is held in pressed". It is empty where nothing has to be.
func (v *view) heldFor(at *peak, subject *model.Info, also system.Condition) string {
	var words []string
	for _, h := range v.springs() {
		if _, free := v.can(v.at(at.Corner()), subject, system.All(system.Literal(at.when), also, system.Not(h.held))); free != ask.No {
			continue
		}
		var positions []string
		for _, k := range h.from {
			stands := ask.Atom(model.Atom{Kind: model.AtomSetting, Index: v.settingOf(h), In: []int{k}})
			if _, ok := v.can(v.at(at.Corner()), subject, system.All(system.Literal(at.when), also, stands)); ok == ask.Yes {
				positions = append(positions, h.Positions[k])
			}
		}
		words = append(words, fmt.Sprintf("%s is held at %s", h.Path, strings.Join(positions, " or ")))
	}
	if words == nil {
		return ""
	}
	return " while " + strings.Join(words, " and ")
}

func (v *view) settingOf(h spring) int {
	return slices.IndexFunc(v.d.Settings, func(s model.Setting) bool { return s.Path == h.Path })
}

// opening is between which times a blade fuse opens at a multiple of its rating, in s.
type opening struct {
	times         float64
	soonest, last float64 // 0: none is stated
}

// openings are the ends of the bands of ISO 8820-3 for blade fuses. The longest times from
// 2 times on are seen second-hand, the others are from memory; of 1.35 times sources say
// 600 s and 1800 s.
var openings = []opening{
	{times: 1.10, soonest: 360_000},
	{times: 1.35, soonest: 0.75, last: 1800},
	{times: 1.60, soonest: 0.25, last: 50},
	{times: 2.00, soonest: 0.15, last: 5},
	{times: 3.50, soonest: 0.04, last: 0.5},
	{times: 6.00, soonest: 0.02, last: 0.1},
}

// lasts says in words how long a blade fuse carries a multiple of its rating, and where
// that is from. Between two ends of the bands no more is said than is certain: it opens
// no sooner than at the higher of them, and no later than at the lower.
func lasts(times float64) (words, source string) {
	const standard = "blade fuses by ISO 8820-3 as commonly quoted"
	low, high := opening{}, opening{}
	for _, o := range openings {
		if o.times <= times {
			low = o
		} else if high.times == 0 {
			high = o
		}
	}
	from := fmt.Sprintf("%.3g times", low.times)
	switch {
	case low.last > 0 && low.times >= 2:
		return "it opens within " + unit.Format(low.last, unit.Time),
			fmt.Sprintf("%s open within %s at %s", standard, unit.Format(low.last, unit.Time), from)
	case low.last > 0 && low.times < 1.5:
		return "it opens within 10 to 30 minutes, and perhaps after " + unit.Format(high.soonest, unit.Time),
			fmt.Sprintf("%s open within 600 s or 1800 s at %s, as one source and another say, and after %s at the soonest at %.3g times",
				standard, from, unit.Format(high.soonest, unit.Time), high.times)
	case low.last > 0:
		return "it opens within " + unit.Format(low.last, unit.Time),
			fmt.Sprintf("%s open within %s at %s", standard, unit.Format(low.last, unit.Time), from)
	}
	return fmt.Sprintf("it may open after %s", unit.Format(high.soonest, unit.Time)),
		fmt.Sprintf("%s hold for 100 h at 1.1 times, and for %s at %.3g times", standard, unit.Format(high.soonest, unit.Time), high.times)
}

// holds is the multiple of its rating that a blade fuse carries for 100 h: below it nothing
// is said of what lasts for seconds (ISO 8820-3, from memory).
const holds = 1.10
