package binding

import "sync"

// The names here are common practice: what programmers write for a thing that the bench has another
// name for.

// other are words that programmers write for a word of a name.
func other(word string) []string { return otherWords()[word] }

//nolint:gochecknoglobals // made once, never changed
var otherWords = sync.OnceValue(func() map[string][]string {
	return together(germanWords(), map[string][]string{
		"acknowledge": {"ack"}, "alarm": {"message", "text", "msg"}, "allowed": {"ok", "true", "enabled"}, "arm": {"lever"},
		"ask": {"request", "demand"}, "cancel": {"abort"}, "cancelled": {"aborted", "canceled"}, "cause": {"reason", "code"},
		"closed": {"close", "shut", "engaged", "clamped", "applied"}, "constant": {"const", "factor"},
		"count": {"counter", "number"}, "coupled": {"engaged", "attached"}, "current": {"curr", "cur", "amps"}, "cycle": {"scan"},
		"down": {"downwards", "dn"}, "drive": {"axis", "motor", "inverter"}, "estop": {"emergency"}, "failed": {"fail", "error", "nok"},
		"fault": {"error", "alarm"}, "guard": {"door", "gate"}, "hold": {"halt", "stand", "standstill", "stop"},
		"inhibited": {"blocked", "locked", "false", "forbidden"}, "judge": {"safety", "check"}, "left": {"remaining", "rest"},
		"limit": {"max", "maximum"}, "motion": {"move"}, "move": {"travel", "position", "go", "goto", "run"}, "none": {"no", "idle", "off"},
		"off": {"idle", "disabled", "none"}, "open": {"opened", "release", "released", "lift", "lifted"}, "operation": {"production"},
		"position": {"pos"}, "press": {"torque", "push", "force", "build"}, "proof": {"valid", "proven"},
		"rate": {"ramp", "slope", "gradient"}, "ready": {"ok", "rdy"}, "required": {"req", "needed"}, "reset": {"quit"},
		"speed": {"velocity", "vel"}, "standstill": {"still", "stopped", "stationary"}, "stop": {"halt"}, "support": {"park", "parking"},
		"target": {"setpoint", "dest", "goal"}, "tested": {"proven"}, "time": {"timeout", "max", "limit", "duration"},
		"tolerance": {"tol", "band"}, "torque": {"trq", "moment"}, "trigger": {"start", "execute", "request", "begin"},
		"up": {"upwards"}, "verdict": {"ask", "judge", "answer", "result"},
	})
})

// aliases are whole names that programmers write for a signal, a state, a cause or a parameter.
func aliases(known string) []string { return allAliases()[known] }

//nolint:gochecknoglobals // made once, never changed
var allAliases = sync.OnceValue(func() map[string][]string {
	return together(signalAliases(), stateAliases(), paramAliases(), causeAliases(), germanAliases())
})

// together are the lists of several tables in one.
func together(tables ...map[string][]string) map[string][]string {
	all := map[string][]string{}
	for _, table := range tables {
		for name, list := range table {
			all[name] = append(all[name], list...)
		}
	}
	return all
}

func signalAliases() map[string][]string {
	return map[string][]string{
		"trigger":            {"test_start", "brake_test"},
		"estop":              {"emergency_stop", "e_stop"},
		"judge_busy":         {"busy", "test_running"},
		"judge_failed":       {"not_ok", "test_failed", "failed", "nok"},
		"proof":              {"ok", "brake_ok", "test_ok", "test_passed", "passed"},
		"brake_closed":       {"brake_feedback"},
		"in_position":        {"position_reached", "target_reached", "arrived"},
		"safe_stop":          {"stop_request", "safety_stop"},
		"drive_ready":        {"ready_to_switch_on"},
		"drive_on":           {"drive_enabled", "drive_operational", "power_on"},
		"torque_nm":          {"motor_torque"},
		"scan_s":             {"cycle_time", "scan_time"},
		"test_count":         {"tests", "verdicts"},
		"drive":              {"mode", "command", "cmd", "drive_mode"},
		"position_deg":       {"angle"},
		"target_deg":         {"target_angle"},
		"target_mm":          {"target_position", "set_position"},
		"press_torque_nm":    {"press", "torque_setpoint", "set_torque", "torque_command"},
		"press_rate_nm_s":    {"ramp", "torque_ramp", "press_ramp"},
		"torque_limit_nm":    {"max_torque"},
		"brake":              {"brake_close", "brake_command", "brake_output"},
		"operation":          {"release", "enable", "inhibit", "operation_enable", "release_operation"},
		"ask":                {"test_request", "judge_request", "start_check"},
		"alarm":              {"alarm_text", "operator_text"},
		"decouple":           {"uncouple", "release_partner"},
		"proof_left_s":       {"time_left"},
		"move_speed_mm_s":    {"travel_speed", "set_speed"},
		"guard_closed":       {"guard_ok", "door_closed"},
		"judge_cause":        {"verdict_code"},
		"setup_mode":         {"setup", "manual_mode"},
		"access":             {"access_request", "unlock_request"},
		"required_current_a": {"min_current"},
	}
}

func stateAliases() map[string][]string {
	return map[string][]string{
		"ready":           {"idle", "wait", "waiting"},
		"permissives":     {"conditions", "interlocks", "preconditions"},
		"travel":          {"move", "approach", "positioning", "goto_position", "move_to_test"},
		"settle":          {"rest", "standstill", "calm"},
		"close_brake":     {"close", "shut", "clamp", "engage", "closing"},
		"press_down":      {"press", "push", "build_torque", "torque", "pressing"},
		"verdict_down":    {"ask", "judge", "verdict", "wait_verdict", "judging"},
		"withdraw_ask":    {"withdraw", "relax"},
		"transfer_load":   {"relieve", "transfer", "take_load", "take_over", "carry", "unload"},
		"hold_position":   {"hold"},
		"open_brake":      {"open", "release", "lift", "opening"},
		"recouple":        {"couple"},
		"check_motion":    {"check_move", "move_check"},
		"passed":          {"pass", "ok", "done", "success", "finished", "test_ok"},
		"arrest_load":     {"arrest", "catch"},
		"move_to_support": {"to_support", "lower", "park", "go_down"},
		"set_down":        {"put_down"},
		"secure_axis":     {"secure", "safe", "make_safe"},
		"locked_out":      {"failed", "fail", "fault", "error", "locked", "lockout"},
		"power_up":        {"power_on", "init", "start_up"},
		"stopped":         {"stop"},
		"cancel_stop":     {"cancel", "abort"},
	}
}

func paramAliases() map[string][]string {
	return map[string][]string{
		"permissive_time_s":            {"permit_time"},
		"load_torque_nm":               {"load", "hold_torque", "gravity_torque"},
		"slip_alarm_mm":                {"slip_max", "max_slip", "slip_limit"},
		"test_position_mm":             {"test_place"},
		"support_position_mm":          {"park_position"},
		"torque_constant_nm_per_rms_a": {"kt"},
		"brake_time_s":                 {"close_time", "brake_timeout", "brake_max"},
		"brake_settle_s":               {"engage_time", "brake_delay"},
		"answer_time_s":                {"ask_timeout", "answer_max"},
	}
}

func causeAliases() map[string][]string {
	return map[string][]string{
		"slipped":              {"slip", "brake_slipped"},
		"brake-not-closed":     {"not_closed", "close_timeout"},
		"brake-not-open":       {"not_open", "not_opened", "open_timeout"},
		"torque-not-reached":   {"no_torque", "press_timeout"},
		"not-at-test-position": {"not_there", "not_in_position", "travel_timeout"},
		"no-answer":            {"judge_silent", "ask_timeout"},
	}
}
