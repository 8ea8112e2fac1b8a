package recording

import (
	"slices"
	"strings"
)

// Signal is one row of the table of signals that a recording can have.
type Signal struct {
	Name  string   // as in a trace
	Short string   // name without its unit, by which a column or an option can name it
	Unit  string   // of the values of a channel; empty without one
	Words []string // of a word out of a set
	Note  string

	kind quantity
}

// quantity is what a column holds; it decides which units are accepted.
type quantity uint8

const (
	timeOf quantity = iota
	length
	angle    // deg
	rotation // rad, of the motor shaft
	speed
	shaftSpeed
	torque
	current
	temperature
	count
	boolean
	word
	freeWord
)

// Signals is the table of signals. The names are those of traces, and their ends are their units.
func Signals() []Signal {
	number := func(kind quantity, name, short, note string) Signal {
		return Signal{Name: name, Short: short, Unit: baseUnit(kind), Note: note, kind: kind}
	}
	yes := func(name, note string) Signal { return Signal{Name: name, Short: name, Note: note, kind: boolean} }
	oneOf := func(name, note string, words ...string) Signal {
		return Signal{Name: name, Short: name, Words: words, Note: note, kind: word}
	}
	return []Signal{
		number(timeOf, "t_s", "time", "time"),
		number(length, "position_mm", "position", "position measured, up is positive"),
		number(angle, "position_deg", "position", "position measured, on an arm"),
		number(length, "load_mm", "load", "position of the load, measured at the load"),
		number(rotation, "angle_rad", "angle", "angle of the motor shaft"),
		number(speed, "speed", "speed", "speed of the load, up is positive"),
		number(shaftSpeed, "speed_rad_s", "speed", "speed of the motor shaft"),
		number(torque, "torque_nm", "torque", "motor torque as the drive estimates it, positive raises the load"),
		number(torque, "torque_motor_nm", "torque_motor", "motor torque, by a transducer"),
		number(current, "current_rms_a", "current_rms", "torque-forming current, rms"),
		number(current, "current_amp_a", "current_amp", "torque-forming current, amplitude"),
		number(current, "current_command_rms_a", "current_command_rms", "torque-forming current that is commanded, rms"),
		number(current, "judge_current_amp_a", "judge_current_amp", "current that the safety side reads, amplitude"),
		yes("brake_closed", "feedback of the holding brake"),
		yes("brake_2_closed", "feedback of the second brake"),
		oneOf("brake", "command to the holding brake", "open", "closed"),
		oneOf("brake_2", "command to the second brake", "open", "closed"),
		oneOf("drive", "what the drive does", "off", "hold", "move", "press"),
		yes("drive_on", "the drive is switched on"),
		yes("drive_fault", "the drive has shut itself off"),
		oneOf("ask", "the judge is asked to check the closed brake in this direction", "none", "down", "up"),
		yes("judge_busy", "the judge is running a check"),
		yes("proof", "the judge's proof is valid"),
		yes("judge_failed", "the judge has failed the brake"),
		number(count, "test_count", "test_count", "verdicts of the judge"),
		yes("safe_stop", "the safety side stops the axis"),
		yes("estop", "the emergency stop is pressed"),
		yes("acknowledge", "the button that acknowledges a failure of the judge is pressed"),
		oneOf("operation", "what the sequence releases", "allowed", "inhibited"),
		yes("standstill", "the axis does not move"),
		yes("in_position", "the drive has reached its target"),
		number(length, "target_mm", "target", "where a move ends"),
		number(angle, "target_deg", "target", "where a move ends, on an arm"),
		number(torque, "press_torque_nm", "press_torque", "torque of a press, commanded"),
		number(torque, "torque_limit_nm", "torque_limit", "torque limit of the drive"),
		number(current, "required_current_a", "required_current", "current that the judge requires, amplitude"),
		number(temperature, "brake_temp_c", "brake_temp", "temperature of the brake"),
		number(temperature, "brake_2_temp_c", "brake_2_temp", "temperature of the second brake"),
		number(temperature, "motor_temp_c", "motor_temp", "temperature of the motor"),
		{Name: "state", Short: "state", Note: "state of the sequence", kind: freeWord},
	}
}

// unit is one unit of a quantity: its names, the first of them for messages, and the factor to the base unit.
type unit struct {
	names  []string
	factor float64
}

const (
	radPerDeg = 0.017453292519943295
	radPerRev = 6.283185307179586
)

// units are those of a quantity, the base unit first.
func units(kind quantity) []unit {
	switch kind {
	case timeOf:
		return []unit{{[]string{"s", "sec"}, 1}, {[]string{"ms"}, 1e-3}, {[]string{"us"}, 1e-6}, {[]string{"ns"}, 1e-9}, {[]string{"min"}, 60}, {[]string{"h"}, 3600}}
	case length:
		return []unit{{[]string{"mm"}, 1}, {[]string{"m"}, 1e3}, {[]string{"cm"}, 10}, {[]string{"um"}, 1e-3}}
	case angle:
		return []unit{{[]string{"deg"}, 1}, {[]string{"rad"}, 1 / radPerDeg}, {[]string{"turns", "turn", "rev"}, 360}, {[]string{"mdeg"}, 1e-3}}
	case rotation:
		return []unit{{[]string{"rad"}, 1}, {[]string{"deg"}, radPerDeg}, {[]string{"turns", "turn", "rev"}, radPerRev}, {[]string{"mdeg"}, 1e-3 * radPerDeg}}
	case speed:
		return []unit{{[]string{"mm/s"}, 1}, {[]string{"m/s"}, 1e3}, {[]string{"m/min"}, 1e3 / 60.0}, {[]string{"mm/min"}, 1 / 60.0}, {[]string{"um/s"}, 1e-3}}
	case shaftSpeed:
		return []unit{{[]string{"rad/s"}, 1}, {[]string{"rpm", "1/min", "rev/min", "min^-1", "r/min"}, radPerRev / 60}, {[]string{"deg/s"}, radPerDeg}, {[]string{"rev/s", "1/s", "s^-1"}, radPerRev}}
	case torque:
		return []unit{{[]string{"N·m"}, 1}, {[]string{"mN·m"}, 1e-3}, {[]string{"cN·m"}, 1e-2}, {[]string{"kN·m"}, 1e3}}
	case current:
		return []unit{{[]string{"A"}, 1}, {[]string{"mA"}, 1e-3}}
	case temperature:
		return []unit{{[]string{"C", "°C"}, 1}}
	}
	return nil
}

// baseUnit is the unit of the values of a channel; empty without one.
func baseUnit(kind quantity) string {
	if list := units(kind); len(list) > 0 {
		return list[0].names[0]
	}
	return ""
}

// factor is what makes the base unit of numbers in a unit; false if it is none of the signal.
func (s *Signal) factor(text string) (float64, bool) {
	plain := plainUnit(text)
	for _, u := range units(s.kind) {
		if slices.ContainsFunc(u.names, func(name string) bool { return plainUnit(name) == plain }) {
			return u.factor, true
		}
	}
	return 0, false
}

// unitOf is the unit of the signal with a factor to that of its values; empty if none has it.
func (s *Signal) unitOf(factor float64) string {
	for _, u := range units(s.kind) {
		if u.factor == factor {
			return u.names[0]
		}
	}
	return ""
}

// Units are those that a column of the signal can have in a file, the first that of its values.
func (s *Signal) Units() []string {
	var names []string
	for _, u := range units(s.kind) {
		names = append(names, u.names[0])
	}
	return names
}

func (s *Signal) unitNames() string { return strings.Join(s.Units(), ", ") }

// signalsOf are the signals that a name can mean: that of the name, or those of the short name.
func signalsOf(name string) []Signal {
	var list []Signal
	for _, s := range Signals() {
		if s.Name == name {
			return []Signal{s}
		}
		if s.Short == name {
			list = append(list, s)
		}
	}
	return list
}

// plainUnit is a unit in one spelling: without brackets and spaces, and with letters of ASCII.
func plainUnit(text string) string {
	return strings.ToLower(strings.NewReplacer(
		" ", "", "[", "", "]", "", "(", "", ")", "", "·", "", "⋅", "", "*", "", "µ", "u", "μ", "u", "°", "deg", "⁻¹", "^-1",
	).Replace(text))
}
