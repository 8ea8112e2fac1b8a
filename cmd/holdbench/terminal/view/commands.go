package view

import (
	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/plant"
	"holdbench/sequence"
)

// commandRows is how many rows the commands take, the title included.
const commandRows = 7

// drawCommands draws the outputs of the sequence.
func (g *stage) drawCommands(a page.Area) {
	if g.unpowered() {
		drawUnpowered(a, "commands", "none: the drive is off and the brake closes")
		return
	}
	o := &g.View.Out
	a = head(a, "commands", "", page.Plain)
	rows := []struct{ name, is, with string }{
		{"drive", o.Drive.String(), g.driveWith()},
		{"brake", o.Brake.String(), g.secondCommand()},
		{"judge", askText(o.Ask), g.requiredText()},
		{"machine", "operation " + o.Operation.String(), g.machineWith()},
		{"alarm", o.Alarm, ""},
	}
	for y, r := range rows {
		a.Text(0, y, page.Faint, r.name)
		x := a.Text(9, y, page.Strong, page.Cut(r.is, a.W()-9))
		a.Text(max(x+2, 18), y, page.Plain, r.with)
	}
	if o.Alarm == "" {
		a.Text(9, len(rows)-1, page.Faint, "none")
	}
}

// driveWith is what goes with the drive's mode.
func (g *stage) driveWith() string {
	o := &g.View.Out
	limit := ""
	if o.TorqueLimitNM > 0 {
		limit = "  limit " + fixed(o.TorqueLimitNM, 5, 2) + " N·m"
	}
	switch o.Drive {
	case sequence.DriveMove:
		if g.Case.Rig.Load.ArmMM > 0 && o.TargetDeg != 0 {
			return "to " + fixed(o.TargetDeg, 7, 2) + "°" + limit
		}
		return "to " + fixed(o.TargetMM, 7, 2) + " mm" + limit
	case sequence.DrivePress:
		return signed(o.PressTorqueNM, 6, 2) + " N·m by " + fixed(o.PressRateNMS, 5, 1) + " N·m/s" + limit
	}
	return limit
}

func askText(ask sequence.Ask) string {
	if ask == sequence.AskNone {
		return "no ask"
	}
	return "ask " + ask.String()
}

// requiredText is the current that goes with an ask, where the judge reads one.
func (g *stage) requiredText() string {
	if g.Case.Rig.Judge.Kind != plant.JudgeCurrent {
		return ""
	}
	return "required " + signed(g.View.Out.RequiredCurrentA, 6, 2) + " A"
}

// machineWith is what goes with the release of operation.
func (g *stage) machineWith() string {
	if g.View.Judge.Withheld && g.View.Out.Operation == sequence.OperationAllowed {
		return "withheld by the safety side"
	}
	return decoupleText(g.View.Out.Decouple)
}

func decoupleText(decouple bool) string {
	if decouple {
		return "decouple partner"
	}
	return ""
}
