package schema

import (
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"strings"

	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/probe"
)

// Output is the JSON Schema (2020-12) of JSON that a command prints, made from the values that it
// prints: one object or array, or one of several kinds of lines.
func Output(name, about string, lines ...any) ([]byte, error) {
	w := &writer{defs: Object{}, types: map[string]reflect.Type{}, words: outputWords(), notes: outputNotes()}
	var shapes []Object
	for _, line := range lines {
		shapes = append(shapes, w.value(reflect.TypeOf(line)))
	}
	o := Object{"anyOf": shapes}
	if len(shapes) == 1 {
		o = shapes[0]
	}
	o["$defs"] = w.defs
	return render(name, "holdbench "+name, about, o)
}

// writer makes schemas of types that are written as JSON. Structs are definitions by their name.
type writer struct {
	defs  Object
	types map[string]reflect.Type
	words map[string][]string
	notes map[string]string
}

// value is the schema of a type as encoding/json writes it. Lists are never null.
func (w *writer) value(t reflect.Type) Object {
	if words := w.words[t.String()]; words != nil {
		return Object{"enum": words}
	}
	switch t.Kind() {
	case reflect.Pointer:
		o := w.value(t.Elem())
		if kind, ok := o["type"].(string); ok {
			o["type"] = []string{kind, "null"}
			return o
		}
		return Object{"anyOf": []Object{o, {"type": "null"}}}
	case reflect.Struct:
		return w.definition(t)
	case reflect.Slice:
		return Object{"type": "array", "items": w.value(t.Elem())}
	case reflect.Array:
		return Object{"type": "array", "items": w.value(t.Elem()), "minItems": t.Len(), "maxItems": t.Len()}
	case reflect.Bool:
		return Object{"type": "boolean"}
	case reflect.Float64:
		return Object{"type": "number"}
	case reflect.Int, reflect.Int64:
		return Object{"type": "integer"}
	case reflect.Uint64:
		return Object{"type": "integer", "minimum": 0}
	case reflect.String:
		return Object{"type": "string"}
	}
	panic(fmt.Sprintf("schema: no form for a %v in JSON", t))
}

// definition refers to the definition of a struct, and makes it the first time.
func (w *writer) definition(t reflect.Type) Object {
	name := strings.ToLower(t.Name())
	if other := w.types[name]; other != nil && other != t {
		name = strings.ReplaceAll(t.String(), ".", "-")
	}
	if w.types[name] == nil {
		w.types[name] = t
		w.defs[name] = w.object(t)
	}
	return Object{"$ref": "#/$defs/" + name}
}

func (w *writer) object(t reflect.Type) Object {
	if reflect.PointerTo(t).Implements(reflect.TypeFor[json.Marshaler]()) {
		panic(fmt.Sprintf("schema: %v writes itself, and its form is not known here", t))
	}
	properties, required := Object{}, []string{}
	w.members(t, properties, &required)
	return Object{"type": "object", "properties": properties, "required": required, "additionalProperties": false}
}

// members adds the members of a struct. Those of an embedded one count as its own, behind them.
func (w *writer) members(t reflect.Type, properties Object, required *[]string) {
	var embedded []reflect.Type
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case f.Anonymous && name == "":
			embedded = append(embedded, f.Type)
			continue
		case name == "-" || !f.IsExported():
			continue
		case name == "":
			name = f.Name
		}
		if properties[name] != nil {
			continue
		}
		properties[name] = w.member(t.String()+"."+name, name, f.Type, strings.Contains(options, "omitempty"))
		if !strings.Contains(options, "omitempty") {
			*required = append(*required, name)
		}
	}
	for _, e := range embedded {
		w.members(e, properties, required)
	}
}

func (w *writer) member(id, name string, t reflect.Type, omitted bool) Object {
	if omitted && t.Kind() == reflect.Pointer {
		t = t.Elem() // written only where it is there
	}
	o := w.value(t)
	if words := w.words[id]; words != nil {
		o = Object{"enum": words}
	}
	var about []string
	if note := w.notes[id]; note != "" {
		about = append(about, note)
	}
	if unit := unitOf(name, t); unit != "" {
		about = append(about, "in "+unit)
	}
	if len(about) > 0 {
		o["description"] = strings.Join(about, ", ")
	}
	return o
}

// unitOf is the unit of a number by the end of its name, empty for a plain number.
func unitOf(name string, t reflect.Type) string {
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice || t.Kind() == reflect.Array {
		t = t.Elem()
	}
	if t.Kind() != reflect.Float64 {
		return ""
	}
	if unit := sequence.UnitOf(name).String(); unit != "" {
		return unit
	}
	for _, u := range [][2]string{{"_h", "h"}, {"_c", "°C"}, {"_j", "J"}, {"_n", "N"}, {"_years", "years"}} {
		if strings.HasSuffix(name, u[0]) {
			return u[1]
		}
	}
	return ""
}

// outputWords are the words of texts, by type, or by type and key.
func outputWords() map[string][]string {
	var classes, kinds []string
	for _, c := range sim.Classes() {
		classes = append(classes, string(c))
	}
	for _, k := range probe.Kinds() {
		kinds = append(kinds, string(k))
	}
	return map[string][]string{
		"sim.Class": classes, "probe.Kind": kinds,
		"sim.Result.end": sim.EndWords(), "sim.Result.verdict": sim.VerdictWords(), "sim.Result.operation": sim.OperationWords(),
		"sim.Event.kind":       sim.EventKinds(),
		"probe.Outcome.end":    sim.EndWords(),
		"probe.Cell.severity":  append([]string{""}, probe.SeverityWords()...),
		"sweep.Record.end":     sim.EndWords(),
		"sweep.Head.rare":      append([]string{""}, classes...), // empty where everything is counted
		"sweep.Record.verdict": sim.VerdictWords(), "probe.Outcome.verdict": sim.VerdictWords(),
	}
}

// outputNotes say what the members of all outputs are.
func outputNotes() map[string]string {
	all := resultNotes()
	maps.Copy(all, partNotes())
	maps.Copy(all, diffNotes())
	maps.Copy(all, scoreNotes())
	return all
}

// partNotes say what the members of the parts of a run are.
func partNotes() map[string]string {
	return map[string]string{
		"sim.Folded.events":           "number of events that were left out",
		"sim.Folded.from_s":           "time of the first event of which some were left out",
		"sim.Folded.to_s":             "time of the last one",
		"sim.FaultRecord.what":        "name of the fault, if it has one, and what it sets",
		"sim.FaultRecord.when":        "its moment, as the scenario says it",
		"sim.FaultRecord.began_s":     "null if its moment never came",
		"sim.FaultRecord.ended_s":     "null if it lasted to the end of the run, or never began",
		"sim.FaultRecord.acted":       "a value that it sets was another than without it, and was read",
		"sim.FaultRecord.because":     "why it never began, or why it did not act; left out if it acted",
		"sim.DropCheck.limit_mm":      "limit of the rig",
		"sim.BrakeDrop.at_rest_mm":    "from rest; null if the load does not stop",
		"sim.BrakeDrop.from_speed_mm": "while the load moves downwards with the speed of the drive; null if it does not stop",
		"sim.Obligation.kept":         "it was not broken",
		"sim.Obligation.not_judged":   "why a run that is over does not show whether it was kept; left out if it does",
		"sim.Obligation.at_s":         "when it was first broken; null if it was kept",
		"sim.Obligation.detail":       "in which state, and by how much",
		"sim.Event.t_s":               "simulated time",
	}
}

// resultNotes say what the members of a run are.
func resultNotes() map[string]string {
	return map[string]string{
		"sim.Result.sequence":                   "name of the sequence; of a controller outside \"controller NAME\", or \"controller outside\" if it gives no name",
		"sim.Result.seed":                       "seed of the noise: the same seed gives the same run",
		"sim.Result.ended_in":                   "state in which the sequence ended; the present one if it did not",
		"sim.Result.end":                        "how the sequence ended",
		"sim.Result.verdict":                    "the last verdict of the judge",
		"sim.Result.verdict_right":              "whether the verdict agrees with the truth; null without a verdict",
		"sim.Result.cause":                      "cause of the end; empty if there is none",
		"sim.Result.class":                      "the run held against the truth",
		"sim.Result.released":                   "operation is allowed at the end, or the sequence passed, and the safety side does not withhold it",
		"sim.Result.operation":                  "whether operation is allowed at the end, by both sides together",
		"sim.Result.withheld":                   "the safety side withholds operation at the end",
		"sim.Result.load_held":                  "the load was held from the start of the run to its end",
		"sim.Result.duration_s":                 "simulated duration of the run",
		"sim.Result.load_drop_mm":               "largest load drop",
		"sim.Result.drop_commanded":             "the command with which the controller itself let the load fall by more than the limit; left out if it did not",
		"sim.Result.slip_deg":                   "slip of the closed brake, at the motor shaft",
		"sim.Result.peak_torque_nm":             "largest motor torque",
		"sim.Result.brake_capacity_nm":          "static torque of the brake at the last verdict, or at the end without one",
		"sim.Result.brake_2_capacity_nm":        "the same of the second brake, at the motor shaft",
		"sim.Result.required_torque_nm":         "required test torque at that moment",
		"sim.Result.brake_capacity_at_end_nm":   "static torque of the brake at the end",
		"sim.Result.brake_2_capacity_at_end_nm": "the same of the second brake",
		"sim.Result.required_torque_at_end_nm":  "required test torque at the end",
		"sim.Result.drop_at_power_failure":      "load drop that a power failure would cause with each brake alone",
		"sim.Result.brake_2_slip_deg":           "slip of the second brake, at the motor shaft",
		"sim.Result.slip_work_j":                "slip work of the brake",
		"sim.Result.brake_temp_c":               "temperature of the brake at the end",
		"sim.Result.support_n":                  "force with which the support carries the load at the end",
		"sim.Result.support_share":              "share of the load that rests on its support at the end",
		"sim.Result.controller_stopped":         "the first time that the controller stopped, a watchdog that a fault trips apart",
		"sim.Result.obligations":                "requirements of every run, kept or broken",
		"sim.Result.expectations":               "what the scenario expects, met or not",
		"sim.Result.expectations_not_applied":   "expectations of the scenario that do not apply to the rig or the sequence in place of its own, as it lacks what they name: path, took or outputs",
		"sim.Result.fault_records":              "what became of each fault, in the order of the scenario and then of the command line; left out without faults",
		"sim.Result.events":                     "what happened, in order of time",
		"sim.Result.events_folded":              "what was left out of more than 10000 events: of those between two times, all but the first and the last of each kind, state, cause and brake; left out if all are there",
		"command.Origin.version":                "version of the program",
		"command.Origin.sources":                "documents that the result was made from",
		"command.Given.settings":                "values that the command line set in the run, KEY=VALUE as behind --set",
		"command.Given.faults":                  "faults that the command line added, as behind --fault",
		"probe.Head.version":                    "version of the program",
		"probe.Head.self_test":                  "sum of a test of the arithmetic of a tick; parts of which it differs are not merged; left out by older versions",
		"probe.Head.sources":                    "documents that the probe was made from",
		"probe.Head.part":                       "number of the part, from 1; left out of a whole probe",
		"probe.Head.parts":                      "number of all parts; left out of a whole probe",
		"probe.Tail.cells":                      "number of cells ahead of this line",
		"probe.Tail.order":                      "checksum of the cells in their order",
		"probe.Tail.unreached":                  "states that no route leads to",
		"probe.Tail.plan":                       "extent of a probe of two faults at once",
		"journal.Checksum.crc":                  "CRC-32C of the line ahead of this member, in hexadecimal; left out by older versions",
		"sweepcmd.sweepObject.version":          "version of the program",
		"sim.Document.kind":                     "scenario, rig, sequence or program; replaced sequence: one in whose place a controller outside ran",
		"sim.Document.name":                     "of what is built in, or of the file, without its folder",
		"sim.Document.sha256":                   "of the bytes, in hexadecimal",
	}
}

// scoreNotes are those of what the players of riddles mix up.
func scoreNotes() map[string]string {
	return map[string]string{
		"scorecmd.scoreObject.players":         "with a name",
		"scorecmd.scoreObject.answers":         "that count: of a player the first one to each riddle",
		"scorecmd.scoreObject.repeated":        "further answers of a player to the same riddle, which do not count, as the truth was shown",
		"scorecmd.scoreObject.unnamed":         "answers that count, without the name of a player",
		"scorecmd.scoreObject.aborted":         "answers that count, in which nothing was named; they have 0 points",
		"scorecmd.scoreObject.by_player":       "players with a name, the one with the fewest points in the mean first",
		"scorecmd.playerObject.player":         "name",
		"scorecmd.playerObject.answers":        "that count: the first one to each riddle",
		"scorecmd.playerObject.right":          "that named the cause",
		"scorecmd.playerObject.right_remedies": "that named the remedy",
		"scorecmd.playerObject.aborted":        "in which nothing was named",
		"scorecmd.playerObject.repeated":       "further answers to the same riddle, which do not count, as the truth was shown",
		"scorecmd.playerObject.points":         "mean of the answers, 0 to 10",
		"scorecmd.playerObject.looks":          "mean of those that were used, 0 or more",
		"scorecmd.causeObject.aborted":         "in which nothing was named",
		"scorecmd.scoreObject.points":          "mean of the answers, 0 to 10",
		"scorecmd.scoreObject.causes":          "the true causes, that which was found least often first",
		"scorecmd.scoreObject.version":         "version of the program",
		"scorecmd.causeObject.cause":           "a fault of the catalogue, or two joined by \" + \"",
		"scorecmd.causeObject.answers":         "to riddles of this cause",
		"scorecmd.causeObject.right":           "that named it",
		"scorecmd.causeObject.right_remedies":  "that named its remedy",
		"scorecmd.causeObject.points":          "mean of the answers, 0 to 10",
		"scorecmd.causeObject.looks":           "mean of those that were used, 0 or more",
		"scorecmd.causeObject.taken_for":       "wrong causes that were named, the most frequent first",
		"training.Confusion.cause":             "the wrong cause that was named",
		"training.Confusion.times":             "answers that named it",
	}
}

// diffNotes say what the members of a comparison of two runs are.
func diffNotes() map[string]string {
	return map[string]string{
		"diffcmd.differenceObject.align":     "what the runs are aligned at, as behind --align",
		"diffcmd.differenceObject.align_a_s": "the moment of run A that belongs to align_b_s of run B",
		"diffcmd.differenceObject.same":      "nothing differs: no signal, no state of the path, nothing of the outcome",
		"diffcmd.differenceObject.first":     "the earliest difference; null if no signal differs",
		"diffcmd.differenceObject.visible":   "of each signal that the sequence reads, sets or keeps the first difference, in order of time",
		"diffcmd.differenceObject.truth":     "the same of the true state, which the sequence does not know",
		"diffcmd.differenceObject.moment":    "all values at one moment; null if nothing differs and no moment is asked for",
		"diffcmd.differenceObject.version":   "version of the program",
		"diffcmd.side.nominal":               "without the faults of the scenario",
		"diffcmd.side.every_s":               "time from one compared scan to the next",
		"compare.Divergence.difference":      "B less A; null for a word or a flag",
		"compare.Divergence.tolerance":       "difference that does not count; null for a word or a flag",
		"compare.Divergence.frozen":          "a or b, if the signal stands still in that run alone; else empty",
		"compare.Divergence.states_apart":    "the runs are in different states already",
		"compare.Divergence.group":           "state, inputs, outputs, kept or truth",
		"compare.Pair.difference":            "B less A; null for a word or a flag",
		"compare.Pair.tolerance":             "difference that does not count; null for a word or a flag",
		"compare.Outcome.difference":         "B less A; null for a word",
		"compare.Path.common":                "states that both runs enter from the start on, in order",
		"compare.Path.only_a":                "states that A enters behind them",
		"compare.Path.only_b":                "states that B enters behind them",
		"compare.Path.joined":                "states that both runs enter behind these, up to their ends",
	}
}
