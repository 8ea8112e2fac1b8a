package identifycmd

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/plant/identify"
	"holdbench/scenarios"
)

// writeRig writes the document of the rig with the values that were found, source and interval beside each.
func writeRig(w io.Writer, z *identified) error {
	values := z.rigValues()
	if len(values) == 0 {
		return errNothing
	}
	text, err := scenarios.RewriteRig(z.reference, values)
	if err != nil {
		return err
	}
	_, err = w.Write(text)
	return err
}

// rigValues are the fitted values that the rig can have.
func (z *identified) rigValues() []scenarios.RigValue {
	var list []scenarios.RigValue
	for i := range z.result.Values {
		v := &z.result.Values[i]
		f, ok := plant.FindField(v.Path)
		if !ok || v.Standing != identify.Fitted && v.Standing != identify.Weighed {
			continue
		}
		text := documentNumber(f, v.Value)
		if f.Check(text) != nil { // such as a friction below 0, of which the page warns
			continue
		}
		remark := page.CleanLine(v.Source)
		if v.Standing == identify.Fitted {
			remark = fmt.Sprintf("fitted, 95 %% from %s%s; %s", interval(v), unit(v), remark)
		}
		list = append(list, scenarios.RigValue{Path: v.Path, Text: text, Remark: remark})
	}
	return z.withBreakaway(list)
}

// withBreakaway raises the breakaway friction of the guide to a sliding friction that was found to be greater: a rig
// is refused with less.
func (z *identified) withBreakaway(list []scenarios.RigValue) []scenarios.RigValue {
	const breakaway = "guide.breakaway_nm"
	has := func(path string) int {
		return slices.IndexFunc(list, func(v scenarios.RigValue) bool { return v.Path == path })
	}
	at := has("guide.sliding_nm")
	if at < 0 || has(breakaway) >= 0 || z.rig.Guide.BreakawayNM == 0 {
		return list
	}
	if sliding, err := strconv.ParseFloat(list[at].Text, 64); err != nil || sliding <= z.rig.Guide.BreakawayNM {
		return list
	}
	return append(list, scenarios.RigValue{Path: breakaway, Text: list[at].Text, Remark: "not told by the recordings; raised to the sliding friction, below which it cannot be"})
}

// documentNumber is a value as a document has it: five digits, a time in milliseconds.
func documentNumber(f *plant.Field, x float64) string {
	switch f.Kind {
	case plant.KindDuration:
		return strconv.FormatFloat(math.Round(x*1e5)/1e2, 'f', -1, 64) + "ms"
	case plant.KindCount:
		return strconv.FormatFloat(math.Round(x), 'f', 0, 64)
	}
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 5, 64), 64) // of a number that was just written
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}

// interval is that of a value; a time in ms.
func interval(v *identify.Value) string {
	low, high := v.Low, v.High
	if v.Unit == "s" {
		low, high = 1000*low, 1000*high
	}
	return figure(low, high-low) + " to " + figure(high, high-low)
}

// unit is that of a value, with a blank ahead of it.
func unit(v *identify.Value) string {
	switch v.Unit {
	case "":
		return ""
	case "s":
		return " ms"
	}
	return " " + v.Unit
}

// figure has as many decimals as two digits of a width need.
func figure(x, width float64) string {
	decimals := 3
	if width > 0 && !math.IsInf(width, 0) {
		decimals = int(math.Ceil(1 - math.Log10(width)))
	} else if x != 0 {
		decimals = int(math.Ceil(3 - math.Log10(math.Abs(x))))
	}
	if decimals > 9 {
		return page.Figure(x)
	}
	return strconv.FormatFloat(x, 'f', max(0, decimals), 64)
}
