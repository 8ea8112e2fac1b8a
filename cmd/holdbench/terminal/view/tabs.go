package view

import "holdbench/cmd/holdbench/terminal/page"

// tabName is what a tab is called.
func tabName(t Tab) string {
	switch t {
	case CurvesTab:
		return "over time"
	case EventsTab:
		return "events"
	case FaultsTab:
		return "faults"
	case ObligationsTab:
		return "obligations"
	case ComparedTab:
		return "compared"
	}
	return ""
}

// tabs draws the chosen tab and the names of all.
func (b *board) tabs(x, y, w, h int, first, chosen Tab) {
	if chosen < first || chosen >= b.Tabs() {
		chosen = first
	}
	row := tabRow{board: b, a: b.a.Sub(x, y, w, 1), x: x, y: y, first: first, chosen: chosen}
	a := padded(b.a.Sub(x, y+1, w, h-1))
	switch chosen {
	case CurvesTab:
		row.drawLegend(b.strips(x, y+1, w, h-1))
		return
	case EventsTab:
		b.drawEvents(a)
	case FaultsTab:
		b.drawFaults(a)
	case ObligationsTab:
		b.drawObligations(a)
	case ComparedTab:
		b.drawCompared(a)
	}
	row.draw(row.level())
}

// tabRow is the row with the names of the tabs.
type tabRow struct {
	*board
	a             page.Area
	x, y          int // of the area on the screen
	first, chosen Tab
}

// drawLegend draws the row with what the curves are. Where both have no room, first the
// words of the legend get shorter, then the tabs lose the line between them, then their letters.
func (t *tabRow) drawLegend(tags []tag) {
	levels := [][2]int{{0, 0}, {0, 1}, {1, 1}, {1, shortest}, {2, 1}, {2, shortest}}
	for i, level := range levels {
		room := t.a.W() - t.width(level[0])
		parts := legendWords(tags, level[1])
		if length(parts)+2 <= room || i == len(levels)-1 {
			t.draw(level[0])
			t.legend(t.a, parts, room)
			return
		}
	}
}

// name is that of a tab, with a mark at the chosen one.
func (t *tabRow) name(tab Tab, level int) string {
	name := tabName(tab)
	if level > 1 {
		name = map[Tab]string{CurvesTab: "time", EventsTab: "events", FaultsTab: "faults", ObligationsTab: "oblig.", ComparedTab: "A/B"}[tab]
	}
	name += t.badge(tab)
	switch {
	case tab == t.chosen:
		return "[" + name + "]"
	case level == 0:
		return " " + name + " "
	}
	return name
}

func (t *tabRow) width(level int) int {
	n := 1
	for tab := t.first; tab < t.Tabs(); tab++ {
		n += page.Width(t.name(tab, level)) + 1
	}
	return n
}

// level is how much the names must be shortened for all to have room.
func (t *tabRow) level() int {
	level := 0
	for level < 2 && t.width(level) > t.a.W() {
		level++
	}
	return level
}

func (t *tabRow) draw(level int) {
	t.a.HLine(0, 0, t.a.W(), page.Faint)
	at := 1
	for tab := t.first; tab < t.Tabs(); tab++ {
		role := page.Plain
		if tab == t.chosen {
			role = page.Heading
		}
		end := t.a.Text(at, 0, role, t.name(tab, level))
		t.add(spot{x: t.x + at, y: t.y, w: end - at, h: 1, tab: tab, isTab: true})
		if at = end + 1; level > 0 {
			t.a.Text(end, 0, page.Plain, " ")
		}
	}
}

// badge counts beside a tab's name what must not be missed.
func (b *board) badge(t Tab) string {
	n, sign := 0, " ▲"
	switch t {
	case FaultsTab:
		names, _ := b.acting()
		n = len(names)
	case ObligationsTab:
		sign = " ✗"
		for i := range b.View.Obligations {
			if !b.View.Obligations[i].Kept && b.Truth {
				n++
			}
		}
	}
	if n == 0 {
		return ""
	}
	return sign + fixed(float64(n), 1, 0)
}
