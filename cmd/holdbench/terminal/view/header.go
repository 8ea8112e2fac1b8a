package view

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sequence"
	"holdbench/sim"
)

// Header draws the names of what runs, and its state, on two rows.
func Header(a page.Area, s *Scene) {
	g, ok := staged(s)
	if !ok {
		a.Text(0, 0, page.Faint, "no run")
		return
	}
	g.drawName(a)
	g.drawState(a)
}

func (g *stage) drawName(a page.Area) {
	sc := &g.Case.Scenario
	about := cmp.Or(g.RigName, g.Case.Rig.Rig) + " · " + cmp.Or(g.SequenceName, g.Case.Sequence.Name) + " · seed " + strconv.FormatUint(g.Case.Seed, 10)
	if g.Changed {
		about = "changed, not kept · " + about
	}
	if g.Served != "" {
		about = g.served(a.W()) + " · " + about
	}
	name, title := sc.Scenario, sc.Title
	switch {
	case g.Title != "":
		name, title = g.Title, ""
	case !g.Truth: // both may name the fault
		name, title = "truth hidden", ""
	}
	room := a.W() - page.Width(about) - 2
	if room < page.Width(name) { // the name counts most
		about = page.Cut(about, a.W()-page.Width(name)-2)
		room = a.W()
	}
	a.Right(0, page.Faint, about)
	x := a.Text(0, 0, page.Strong, page.Cut(name, room))
	if room = room - x - 2; room > 8 {
		a.Text(x+2, 0, page.Plain, page.Cut(title, room))
	}
}

// drawState draws the second row: the state of the run from the left, its outcome from the
// right. Parts without room are left out, the least important first.
func (g *stage) drawState(a page.Area) {
	const gap = 2
	room := a.W()
	if out := g.outcomeIn(room - gap - length(g.pace())); len(out) > 0 {
		out = cut(out, room)
		at := room - length(out)
		words(a, at, 1, out...)
		room = at - gap
	}
	x := 0
	for i, part := range g.progress(room) {
		if i > 0 && x+gap+length(part) > room {
			continue
		}
		if i > 0 {
			x += gap
		}
		x = words(a, x, 1, cut(part, room-x)...)
	}
}

func length(parts []word) int {
	n := 0
	for _, p := range parts {
		n += page.Width(p.text)
	}
	return n
}

// cut is as much of a row of words as a width has room for.
func cut(parts []word, width int) []word {
	list := make([]word, 0, len(parts))
	for _, p := range parts {
		if page.Width(p.text) > width {
			p.text = page.Cut(strings.TrimRight(p.text, " "), max(width, 0))
		}
		if p.text != "" {
			list = append(list, p)
		}
		width -= page.Width(p.text)
	}
	return list
}

// progress are the parts of the second row, the most important first.
func (g *stage) progress(room int) [][]word {
	l := g.View
	parts := [][]word{g.pace(), g.clock()}
	state := []word{{page.Strong, g.stateName(l.State)}, {page.Plain, " " + left(strings.TrimLeft(g.seconds(l.InStateS), " "), g.timeWidth()+1)}}
	title, _ := g.standing()
	if title != "" {
		state = []word{{page.Faint, "was in " + g.stateName(l.State)}}
	}
	if title == stopped {
		const least = 20 // of the reason: what it begins with
		left := room - length(parts[0]) - length(parts[1]) - length(state) - page.Width(title) - 8
		title += ": " + page.Cut(g.stopReason(), max(left, least))
	}
	if title != "" {
		parts[0] = append([]word{{page.Bad, title + "  "}}, parts[0]...)
	}
	verdict := g.verdictPart()
	if len(verdict) > 0 && !l.Judge.Verdict.Proof {
		parts = append(parts, verdict)
	}
	parts = append(parts, state)
	if text := g.faultCount(); text != "" {
		parts = append(parts, []word{{page.Fault, text}})
	}
	for _, name := range sim.Buttons() {
		if l.Buttons[name] && name != powerButton {
			parts = append(parts, []word{{page.Setpoint, "◇ " + name}})
		}
	}
	parts = append(parts, g.keptParts()...)
	if len(verdict) > 0 && l.Judge.Verdict.Proof {
		parts = append(parts, verdict)
	}
	return parts
}

// verdictPart is the verdict of the judge while the run goes on, empty without one.
func (g *stage) verdictPart() []word {
	v := &g.View.Judge.Verdict
	if g.outcome() != nil || !v.Busy && !v.Failed && !v.Proof {
		return nil
	}
	text, role := verdictFor(v, len("proof valid")+2)
	return []word{{page.Plain, "judge "}, {role, text}}
}

// keptParts are the values that the sequence has kept, those first that the present state waits for;
// without power, or stopped, it has none.
func (g *stage) keptParts() [][]word {
	if title, _ := g.standing(); title != "" {
		return nil
	}
	var awaited, others [][]word
	for _, k := range g.Case.Sequence.Kept {
		if g.Case.Sequence.Outside() && k.InputNumber(&g.View.In) == 0 {
			continue // of the sequence in whose place it runs: the controller has told none
		}
		part := []word{{page.Plain, k.Name}, {page.Setpoint, " " + k.InputText(&g.View.In)}}
		if g.waitsFor(k.Name) {
			awaited = append(awaited, part)
		} else {
			others = append(others, part)
		}
	}
	return append(awaited, others...)
}

// waitsFor is whether a condition of the present state reads a value.
func (g *stage) waitsFor(name string) bool {
	for _, c := range g.View.Waiting {
		for _, term := range c.Terms {
			if !c.Any && slices.Contains(strings.FieldsFunc(term.Text, outsideNames), name) {
				return true
			}
		}
	}
	return false
}

// outsideNames is whether a letter of an expression is of no name.
func outsideNames(r rune) bool { return r != '_' && !unicode.IsLetter(r) && !unicode.IsDigit(r) }

// pace says whether the run plays, and at which speed.
func (g *stage) pace() []word {
	role, text := page.Plain, "││ paused "
	switch {
	case g.Result != nil && g.AtHead, g.View.Done:
		return []word{{page.Plain, "■ ended        "}}
	case g.RealTime != "" && (g.Busy || g.Playing):
		return []word{{page.Good, "▶ real time "}, {page.Faint, g.RealTime}}
	case g.RealTime != "":
		return []word{{page.Plain, "││ paused "}, {page.Faint, g.RealTime}}
	case g.Busy:
		return []word{{page.Good, "▶▶ to the end  "}}
	case g.Playing:
		role, text = page.Good, "▶ running "
	}
	return []word{{role, text}, {page.Faint, left(speedText(g.Speed), 5)}}
}

func speedText(speed float64) string {
	return page.FourDigits(speed) + "×"
}

// clock is the time of the cursor, and that of the run where the cursor is behind.
func (g *stage) clock() []word {
	if g.AtHead {
		return []word{{page.Strong, g.seconds(g.nowS)}}
	}
	return []word{{page.Strong, g.seconds(g.nowS)}, {page.Caution, " ◀ of " + strings.TrimLeft(g.seconds(g.HeadS), " ")}}
}

// outcomeIn is the outcome as a width has room for it: without its cause first, then without the verdict, of which
// the judge has a pane; how it ended and what that was stay.
func (g *stage) outcomeIn(width int) []word {
	out := g.outcome()
	if len(out) == 0 || length(out) <= width {
		return out
	}
	out[0].text, _, _ = strings.Cut(out[0].text, " (")
	if length(out) > width {
		out = slices.Delete(out, 1, 2)
	}
	return out
}

// outcome is the result of the run; empty before its end, and where the cursor is before that.
func (g *stage) outcome() []word {
	r := g.Result
	if r == nil || !g.ended() {
		return nil
	}
	role, end := page.Plain, "■ "+r.End
	switch r.End {
	case sequence.EndPass.String():
		role, end = page.Good, "✓ "+r.End
	case sequence.EndFail.String():
		role, end = page.Bad, "✗ "+r.End
	}
	if r.Cause != "" {
		end += " (" + r.Cause + ")"
	}
	parts := []word{{role, end}, {page.Plain, " · " + r.Verdict}}
	if g.Truth {
		parts = append(parts, word{page.Plain, " · "}, word{page.Truth, truthSign + string(r.Class)})
		if r.Class == sim.Missed || !r.LoadHeld || len(r.Broken()) > 0 {
			parts = append(parts, word{page.Bad, " ✗"})
		}
	}
	return parts
}

// ended is whether the cursor is past the end of the sequence, or at the end of a run without one.
func (g *stage) ended() bool {
	return g.AtHead || slices.ContainsFunc(g.Events, func(e sim.Event) bool { return e.Kind == sim.KindEnd && g.past(e.TS) })
}

// served says where followers find the screen, on a small one by the port alone.
func (g *stage) served(width int) string {
	address := g.Served
	if at := strings.LastIndex(address, ":"); at > 0 && width < mediumWidth {
		address = "port " + address[at+1:]
	}
	if g.ServedTruth {
		return "truth served on " + address
	}
	return "served on " + address
}
