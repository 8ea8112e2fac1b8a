package identifycmd

import (
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

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
	_, err = w.Write(z.headed(text))
	return err
}

// headMark begins the head of a rig with identified values. A head that begins so is replaced; another one is quoted.
const headMark = "Values found in recordings by holdbench identify: "

// headed is the document of a rig with a head that says what its values are: the old one may deny that anything was
// measured. What the recordings are doubted for is there too, as the page of the result is not kept with the file.
func (z *identified) headed(text []byte) []byte {
	_, before := scenarios.RewriteHead(text, "")
	lines := []string{headMark + "those marked fitted or weighed. All others are those of " + page.CleanLine(filepath.Base(z.reference)) + "."}
	for _, r := range z.recordings {
		line := "Recording " + page.CleanLine(filepath.Base(r.Source))
		if r.Start != "" {
			line += " of " + page.CleanLine(r.Start)
		}
		lines = append(lines, line+", SHA-256 "+r.SHA256)
	}
	for _, warning := range append(slices.Clone(z.doubts), z.result.Warnings...) {
		lines = append(lines, "Warning: "+page.CleanLine(warning))
	}
	if before != "" && !strings.HasPrefix(before, headMark) {
		lines = append(lines, "Head of that rig: "+strings.ReplaceAll(before, "\n", " "))
	}
	headed, _ := scenarios.RewriteHead(text, strings.Join(lines, "\n")+"\n")
	return headed
}

// rigValues are the fitted values that the rig can have.
func (z *identified) rigValues() []scenarios.RigValue {
	var list []scenarios.RigValue
	for i := range z.result.Values {
		v := &z.result.Values[i]
		f, ok := plant.FindField(v.Path)
		if ok && v.Standing == identify.AtLeast {
			if v.Was != 0 { // 0: it follows another value
				list = append(list, kept(f, z.rig, v))
			}
			continue
		}
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
			if v.Note != "" {
				remark += "; " + v.Note
			}
		}
		list = append(list, scenarios.RigValue{Path: v.Path, Text: text, Remark: remark})
	}
	return z.coupled(list)
}

// kept is a value of the rig that stays, with what the recordings prove of it.
func kept(f *plant.Field, r *plant.Rig, v *identify.Value) scenarios.RigValue {
	remark := fmt.Sprintf("not fitted; at least %s%s", page.Figure(v.Value), unit(v))
	if v.Path == "brake.static_nm" {
		remark += " held without a slip"
	}
	if v.Contradicted() {
		remark += ": the value of the rig contradicts the recording"
	}
	return scenarios.RigValue{Path: v.Path, Text: f.Text(r), Remark: remark + "; " + page.CleanLine(v.Source)}
}

// coupled are values that must follow others for the rig to be one: breakaway friction is not below sliding friction,
// and the share of t21 in t2, by which t2 was found, is that of the rig.
func (z *identified) coupled(list []scenarios.RigValue) []scenarios.RigValue {
	r, given := *z.rig, map[string]bool{}
	for _, v := range list {
		given[v.Path] = true
		if f, ok := plant.FindField(v.Path); ok {
			_ = f.Set(&r, v.Text) // was checked
		}
	}
	if delay, ok := plant.FindField("brake.release_delay"); ok && given["brake.release_time"] {
		share := z.rig.Brake.ReleaseDelay.Seconds() / z.rig.Brake.ReleaseTime.Seconds()
		text := documentNumber(delay, share*r.Brake.ReleaseTime.Seconds())
		list = append(list, scenarios.RigValue{Path: delay.Path, Text: text, Remark: "not fitted; its share of release_time is that of the rig before"})
	}
	sliding, ok := plant.FindField("guide.sliding_nm")
	if g := &r.Guide; ok && g.BreakawayNM != 0 && g.BreakawayNM < g.SlidingNM {
		const path = "guide.breakaway_nm"
		list = slices.DeleteFunc(list, func(v scenarios.RigValue) bool { return v.Path == path })
		remark := fmt.Sprintf("not fitted; %s N·m would be below sliding_nm, which it equals here", page.Figure(g.BreakawayNM))
		list = append(list, scenarios.RigValue{Path: path, Text: sliding.Text(&r), Remark: remark})
	}
	return list
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
	return scaled(v, v.Low) + " to " + scaled(v, v.High)
}

// scaled is a figure with the digits of the interval; a time in ms.
func scaled(v *identify.Value, x float64) string {
	width := v.High - v.Low
	if v.Unit == "s" {
		return figure(1000*x, 1000*width)
	}
	return figure(x, width)
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
	decimals = max(0, decimals)
	if step := math.Pow10(-decimals); math.Abs(x) < step/2 {
		x = 0 // and not -0.0
	}
	return strconv.FormatFloat(x, 'f', decimals, 64)
}
