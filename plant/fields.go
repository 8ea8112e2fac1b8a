package plant

import (
	"slices"
	"strings"
	"sync"
)

// Fields lists all values of a rig in the order of the document. List and fields are shared
// and must not be modified.
func Fields() []*Field { return table().list }

// FindField finds a value by its path in a rig's document, such as load.mass_kg.
func FindField(path string) (*Field, bool) {
	f, ok := table().byPath[path]
	return f, ok
}

// FindKey finds a value by a key of a scenario's set: rig.load.mass_kg, and for values of the
// judge and of the stop functions both judge.dwell and rig.judge.dwell.
func FindKey(key string) (*Field, bool) {
	f, ok := table().byKey[key]
	return f, ok
}

// Renamed is the present path of a value that had another one in former versions, empty if it had
// none. The path may begin with rig.
func Renamed(path string) string {
	if strings.TrimPrefix(path, "rig.") == "judge.ramp_down" {
		return "safety.stop_time"
	}
	return ""
}

// fieldTable holds the description of each value of a rig.
type fieldTable struct {
	list          []*Field
	byPath, byKey map[string]*Field
}

//nolint:gochecknoglobals // made once, never changed
var table = sync.OnceValue(func() *fieldTable {
	t := &fieldTable{byPath: map[string]*Field{}, byKey: map[string]*Field{}}
	for _, f := range allFields() {
		t.list = append(t.list, &f)
		t.byPath[f.Path] = &f
		t.byKey[f.Key], t.byKey[rigKey(f.Path)] = &f, &f
	}
	t.list = slices.Clip(t.list) // an append by a caller copies the list
	return t
})

func allFields() []Field {
	return slices.Concat(
		loadFields(), guideFields("guide.", func(r *Rig) *Guide { return &r.Guide }), motorFields(),
		brakeFields("brake.", func(r *Rig) *Brake { return &r.Brake }), secondBrakeFields(), encoderFields(),
		partnerFields(),
		withRule(needsPartner, guideFields("partner.guide.", func(r *Rig) *Guide { return &r.Partner.Guide })),
		withRule(needsPartner, brakeFields("partner.brake.", func(r *Rig) *Brake { return &r.Partner.Brake })),
		clockFields(), testFields(), withRule(bareKey, judgeFields()), withRule(bareKey, safetyFields()),
	)
}

// withRule applies a rule to several fields.
func withRule(rule func(Field) Field, fields []Field) []Field {
	for i := range fields {
		fields[i] = rule(fields[i])
	}
	return fields
}

// fixedInRun is the rule for a value that is constant during a run.
func fixedInRun(f Field) Field {
	f.FixedInRun = true
	return f
}

// permanent is the rule for a value whose change cannot be reversed during a run.
func permanent(f Field) Field {
	f.Permanent = true
	return f
}

// needsPartner is the rule for a value that has an effect only with a partner.
func needsPartner(f Field) Field {
	f.NeedsPartner = true
	return f
}

// needsBrake2 is the rule for a value that has an effect only with a second brake.
func needsBrake2(f Field) Field {
	f.NeedsBrake2 = true
	return f
}

// runsOnly is the rule for a value that a run needs and a sizing works out.
func runsOnly(f Field) Field {
	f.RunsOnly = true
	return f
}

// inDataSheet is the rule for a required time of a brake. If it is missing, the message says
// what it is and where it is found.
func inDataSheet(f Field) Field {
	f.advice = " (" + f.Note + "; the maker's data sheet gives it, DIN VDE 0580)"
	return f
}

// bareKey is the rule for a value whose key in a scenario's set is its path.
func bareKey(f Field) Field {
	f.Key = f.Path
	return f
}
