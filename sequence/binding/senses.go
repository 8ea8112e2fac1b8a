package binding

import (
	"slices"
	"strings"

	"holdbench/sequence"
)

// The name of a BOOL can say the opposite of a signal, as bEStopOk does of estop. The words here are
// common practice.

// opposite is what says the opposite of a signal, and the word of the signal for it; none where the rest
// of the name is that of the signal.
type opposite struct {
	word string
	of   []string
}

func opposites() map[string]opposite {
	open := []string{"open", "opened", "release", "released", "lift", "lifted", "vent", "vented", "auf", "offen", "geoeffnet", "gelueftet"}
	good := []string{"ok", "healthy", "good", "clear", "released", "inactive", "io"}
	return map[string]opposite{
		"estop":               {"", append([]string{"closed", "unlocked"}, good...)},
		"safe_stop":           {"", good},
		"guard_closed":        {"closed", append([]string{"unlocked"}, open...)},
		"brake_closed":        {"closed", open},
		"brake_2_closed":      {"closed", open},
		"drive_on":            {"on", []string{"off", "disabled", "aus"}},
		"drive_fault":         {"fault", good},
		"standstill":          {"standstill", []string{"moving", "motion", "running", "turning", "bewegt", "bewegung"}},
		"partner_coupled":     {"coupled", []string{"uncoupled", "decoupled", "entkoppelt"}},
		"judge_busy":          {"busy", []string{"idle", "free", "inactive"}},
		"proof":               {"", []string{"expired", "lapsed", "invalid", "missing", "lost", "void", "outdated", "unproven", "ungueltig", "abgelaufen", "fehlt"}},
		"judge_failed":        {"", []string{"ready", "rdy", "bereit"}}, // not ready is no failure
		"operation_inhibited": {"inhibited", []string{"allowed", "enabled", "released", "release", "enable", "permitted", "freigabe", "freigegeben"}},
		"setup_mode":          {"setup", []string{"auto", "automatic", "automatik"}},
		"decouple":            {"decouple", []string{"couple", "coupled", "koppeln"}},
	}
}

// denials are the words that turn a name into its opposite.
func denials() []string {
	return []string{"not", "no", "non", "nicht", "kein", "keine", "nok", "nio"}
}

// turning are words that make another thing of a name: brake_fault is no command to the brake.
func turning() []string {
	return []string{
		"expired", "lapsed", "invalid", "missing", "lost", "void", "outdated", "unproven", "old", "fail", "failed", "failure", "error", "err",
		"fault", "timeout", "alarm", "warning", "warn", "off", "inactive", "disable", "disabled", "inhibit", "inhibited", "block", "blocked",
		"unlocked", "request", "requested", "required", "req", "reset", "lamp", "led", "delayed", "timer", "due", "open", "opened", "closed",
		"fehler", "stoerung", "ungueltig", "abgelaufen", "fehlt", "aus", "gesperrt", "sperre", "anforderung", "quittierung", "lampe", "offen", "zu",
	}
}

// sense is how alike the name of a BOOL is to a signal, and whether it says the opposite of it. A name
// with words that make another thing of it is not alike at all.
func sense(s *sequence.Signal, path string) (score float64, inverted bool) {
	const lesser = 0.9
	own, known := pathWords(path), vocabulary(s)
	says := opposites()[s.Name]
	turned := slices.ContainsFunc(own, func(w string) bool { return slices.Contains(says.of, w) && !slices.Contains(known, w) })
	denied := slices.ContainsFunc(own, func(w string) bool { return slices.Contains(denials(), w) })
	if slices.ContainsFunc(own, func(w string) bool {
		return slices.Contains(turning(), w) && !slices.Contains(known, w) && !slices.Contains(says.of, w)
	}) {
		return 0, false
	}
	if score = similarity(s.Name, path); !turned && (!denied || score >= alike && negated(own)) {
		return score, false
	}
	if turned == denied || s.Output && s.Kind != sequence.KindBoolean {
		return 0, false
	}
	return lesser * similarity(s.Name, strings.Join(affirmedBy(own, says, known), "_")), true
}

// ofTheOther is whether a signal is of one of two brakes and a variable is named as one of the other.
func ofTheOther(signal, path string) bool {
	second := func(list []string) bool {
		return slices.ContainsFunc(list, func(w string) bool { return slices.Contains([]string{"2", "second", "zweite"}, w) })
	}
	paired := slices.Contains([]string{"brake", "brake_closed", "brake_1_proof_left_s"}, signal)
	is := second(words(signal))
	return is && !second(pathWords(path)) || paired && second(pathWords(path))
}

// affirmedBy is a name without what makes it the opposite of a signal.
func affirmedBy(own []string, says opposite, known []string) []string {
	var list []string
	for _, w := range own {
		switch {
		case slices.Contains(denials(), w):
		case slices.Contains(says.of, w) && !slices.Contains(known, w):
			list = append(list, says.word)
		default:
			list = append(list, w)
		}
	}
	return list
}

// vocabulary are the words of the names for a signal and for its words.
func vocabulary(s *sequence.Signal) []string {
	list := words(s.Name)
	for _, w := range s.Words {
		list = append(list, w)
		list = append(list, other(w)...)
	}
	for _, w := range words(s.Name) {
		list = append(list, other(w)...)
	}
	for _, name := range aliases(s.Name) {
		list = append(list, words(name)...)
	}
	return list
}

// polarity is whether TRUE of a variable stands for the first of two words, by its name, and whether the
// name says so. A brake that is commanded by TRUE is taken for one that opens by current, as a holding
// brake does (common practice); operation for one that is allowed.
func polarity(signal, path string) (first, said bool) {
	of := polarities()[strings.TrimSuffix(signal, "_2")]
	named := func(list []string) bool {
		return slices.ContainsFunc(pathWords(path), func(w string) bool { return slices.Contains(list, w) })
	}
	yes, no := named(of[0]), named(of[1])
	return yes || !no, yes != no
}

// polarities are the words in the names of a BOOL that is TRUE for the first word of an output, and those
// of one that is TRUE for the second.
func polarities() map[string][2][]string {
	return map[string][2][]string{
		"brake": {
			{
				"open", "opens", "opened", "release", "released", "lift", "lifted", "vent", "vented", "free", "energise", "energize", "energised", //nolint:misspell // both spellings are names
				"energized", "auf", "oeffnen", "offen", "lueften", "lueftung", "gelueftet", "loesen", "freigabe", "freigeben", "bestromen", //nolint:misspell // both spellings are names
			},
			{
				"close", "closes", "closed", "shut", "clamp", "engage", "engaged", "apply", "applied", "lock", "zu", "schliessen", "geschlossen",
				"einfallen",
			},
		},
		"operation": {
			{"allow", "allowed", "release", "released", "enable", "enabled", "ok", "permit", "permitted", "freigabe", "freigeben"},
			{"inhibit", "inhibited", "block", "blocked", "lock", "locked", "forbid", "forbidden", "disable", "disabled", "sperre", "sperren", "gesperrt"},
		},
	}
}
