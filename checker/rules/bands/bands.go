// Package bands holds the rules about partitions of a quantity into bands, and about
// thresholds: gaps and overlaps, dead bands, and whether what is claimed for a band is
// what the circuit and the logic do there.
package bands

import (
	"embed"

	"pintle/checker/engine/interval"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

//go:embed pages testdata
var files embed.FS

var pages = rule.Pages{FS: files}

// Group lists the rules.
func Group() rule.Group {
	return rule.Group{
		Name:     "bands",
		Title:    "Bands and thresholds",
		Fixtures: pages.Fixtures(),
		Rules: []rule.Rule{
			bandOverlap(), bandGap(), bandOutsideRange(), bandInverted(), bandEmpty(),
			bandContradicted(), edgeMismatch(), deadBandEntry(),
			deadBandUnnamed(), deadBandTooNarrow(), noDeadBand(),
			thresholdInverted(), thresholdNeverMoves(),
		},
	}
}

// partition is one `bands` of the design, held against the range of its quantity.
type partition struct {
	*model.Bands
	index    int // in Design.Bands
	quantity *model.Quantity
	cover    interval.Coverage
}

// partitions are those that could be read in full. A partition over an input is held
// against the range of the quantity that its sender tells.
var partitions = rule.Share(func(p *rule.Pass) []partition {
	var out []partition
	for i := range p.Design.Bands {
		b := &p.Design.Bands[i]
		q, ok := quantityOf(p.Design, b.Quantity, b.Reading)
		if !ok || b.Broken || p.Design.Quantities[q].Broken || anyBroken(b) {
			continue
		}
		quantity := &p.Design.Quantities[q]
		stretches := make([]interval.Band, len(b.Bands))
		for k := range b.Bands {
			stretches[k] = interval.Band{Lo: b.Bands[k].Lo, Hi: b.Bands[k].Hi}
		}
		cover, err := interval.Cover(quantity.Lo, quantity.Hi, stretches)
		if err != nil {
			continue // dimensions differ: found while the file was read
		}
		out = append(out, partition{b, i, quantity, cover})
	}
	return out
})

func anyBroken(b *model.Bands) bool {
	for i := range b.Bands {
		if b.Bands[i].Broken {
			return true
		}
	}
	return false
}

// quantityOf is the quantity that something looks at, directly or through an input.
func quantityOf(d *model.Design, q model.QuantityID, r model.ReadingID) (model.QuantityID, bool) {
	if q == model.None && r != model.None {
		q = d.Readings[r].Quantity
	}
	return q, q != model.None
}

// span is where a band says from where to where it reaches.
func span(b *model.Band) diag.Place {
	at := b.LoPlace
	at.Span = at.Span.Join(b.HiPlace.Span)
	return at
}

// stretch is evidence for a part of a quantity's range.
func stretch(title string, s interval.Stretch, at diag.Place) []diag.Evidence {
	return []diag.Evidence{{Kind: diag.Interval, Title: title, Lines: []diag.Line{{Text: s.String(), Place: at}}}}
}

// apart is how far two values lie from each other, as a difference in the first one's
// unit.
func apart(a, b unit.Value) unit.Value {
	n := a.N.Sub(b.N)
	if n.Sign() < 0 {
		n = n.Neg()
	}
	return unit.DifferenceFromBase(n, a.Unit)
}
