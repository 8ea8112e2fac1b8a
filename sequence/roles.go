package sequence

import "slices"

// rolesPath leads to the roles of a document.
const rolesPath = "$.roles"

// RoleInfo describes one role that a parameter can have. Tools that calculate values for a
// sequence, or draw them, find a parameter by its role; its name is the engineer's.
type RoleInfo struct {
	Role string
	Kind Kind
	Unit Unit
	Note string
}

// RoleWords is the table of roles, in the order of help.
func RoleWords() []RoleInfo {
	number := func(role, unit, note string) RoleInfo {
		return RoleInfo{role, KindNumber, UnitOf(unit), note}
	}
	choice := func(role, note string) RoleInfo { return RoleInfo{role, KindBoolean, Unit{}, note} }
	return []RoleInfo{
		number("test_position", "_mm", "where the test is made"),
		number("test_angle", "_deg", "angle of an arm where the test is made; with it the load is compared at the present angle"),
		number("support_position", "_mm", "where the load can be set down"),
		number("load_torque", "_nm", "holds the load, at the motor shaft"),
		number("test_torque", "_nm", "at the brake, in the test"),
		number("torque_constant", "_nm_per_rms_a", "of the motor"),
		choice("test_down", "the test presses down; without this role it does, unless only the press up has a role"),
		choice("test_up", "the test presses up; without this role it does, unless only the press down has a role"),
		number("required_down", "_nm", "motor torque that the test requires down, negative"),
		number("required_up", "_nm", "motor torque that the test requires up"),
		number("required_down_current", "_a", "the same as current, amplitude"),
		number("required_up_current", "_a", "the same as current, amplitude"),
		number("press_margin", "", "press torque divided by required torque"),
		number("press_down", "_nm", "torque of the press down, negative"),
		number("press_up", "_nm", "torque of the press up"),
		number("press_rate", "_nm_s", "how fast a press builds up"),
		number("press_limit", "_nm", "torque limit of the drive in the test"),
		number("load_tolerance", "_nm", "permitted deviation of the load at rest"),
		number("travel_torque", "_nm", "torque permitted in travel beside the load"),
		number("suspect_slip", "_mm", "the judge's window, at the load"),
		number("slip_alarm", "_mm", "slip at which the sequence itself acts"),
		number("interval", "_s", "how long a proof lasts"),
		number("signal_slack", "_s", "permitted age of a proof when it is read"),
		number("ask_gap", "_s", "pause between two asks"),
		choice("coupled", "a partner must be decoupled first"),
		number("couple_time", "_s", "longest time to couple or decouple"),
		number("travel_time", "_s", "longest time of a travel"),
		number("settle_time", "_s", "longest time to settle"),
		number("brake_time", "_s", "longest time for the feedback to follow the command"),
		number("press_time", "_s", "longest time for a press to build up"),
		number("answer_time", "_s", "longest time from ask to answer"),
		number("verdict_time", "_s", "longest time from ask to verdict"),
		number("stop_time", "_s", "longest time of a stop"),
	}
}

// readRoles checks which parameter has which role.
func (a *analysis) readRoles() {
	table := RoleWords()
	var words []string
	for _, r := range table {
		words = append(words, r.Role)
	}
	a.roles = map[string]string{}
	for _, r := range a.doc.Roles {
		path := pathKey(rolesPath, r.Role)
		i := indexOf(words, r.Role)
		switch _, twice := a.roles[r.Role]; {
		case i < 0:
			a.fail(path, "there is no role %q; %s", r.Role, Suggest(r.Role, words))
		case twice:
			a.fail(path, "the role %s is given twice; remove one", r.Role)
		default:
			a.roles[r.Role] = string(r.Param)
			a.checkRole(path, table[i], string(r.Param))
		}
	}
}

// checkRole requires a parameter of the role's kind and unit.
func (a *analysis) checkRole(path string, role RoleInfo, name string) {
	names := a.doc.ParamNames()
	a.scope.used[name] = true
	what := a.scope.symbols[name]
	switch {
	case !slices.Contains(names, name):
		a.fail(path, "there is no parameter %q; %s", name, Suggest(name, names))
	case what.kind == KindUnknown: // reported
	case what.kind != role.Kind:
		a.fail(path, "%s is a %s; the parameter of the role %s must be a %s", name, what.kind, role.Role, role.Kind)
	case what.unit != role.Unit:
		a.fail(path, "%s is %s; the parameter of the role %s must be %s", name, unitText(what.unit), role.Role, unitText(role.Unit))
	}
}
