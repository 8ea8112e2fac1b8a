package plant

import (
	"slices"
	"sync"
)

// Fields lists every value of a rig in the order of the document. List and fields are shared
// and must not be changed.
func Fields() []*Field { return table().list }

// FindField finds a value by its path in a rig's document, such as load.mass_kg.
func FindField(path string) (*Field, bool) {
	f, ok := table().byPath[path]
	return f, ok
}

// FindKey finds a value by a key of a scenario's set: rig.load.mass_kg, and for values of the
// judge both judge.dwell and rig.judge.dwell.
func FindKey(key string) (*Field, bool) {
	f, ok := table().byKey[key]
	return f, ok
}

// fieldTable holds every value of a rig once.
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
	t.list = slices.Clip(t.list) // what somebody appends goes elsewhere
	return t
})

func allFields() []Field {
	return slices.Concat(
		loadFields(), guideFields("guide.", func(r *Rig) *Guide { return &r.Guide }), motorFields(),
		brakeFields("brake.", func(r *Rig) *Brake { return &r.Brake }), encoderFields(),
		partnerFields(),
		withRule(needsPartner, guideFields("partner.guide.", func(r *Rig) *Guide { return &r.Partner.Guide })),
		withRule(needsPartner, brakeFields("partner.brake.", func(r *Rig) *Brake { return &r.Partner.Brake })),
		clockFields(), testFields(), withRule(bareKey, judgeFields()),
	)
}

// withRule gives a rule to each of some fields.
func withRule(rule func(Field) Field, fields []Field) []Field {
	for i := range fields {
		fields[i] = rule(fields[i])
	}
	return fields
}

// fixedInRun is the rule for a value that a run is built on.
func fixedInRun(f Field) Field {
	f.FixedInRun = true
	return f
}

// permanent is the rule for a change that a run cannot take back.
func permanent(f Field) Field {
	f.Permanent = true
	return f
}

// needsPartner is the rule for a value that means something with a partner only.
func needsPartner(f Field) Field {
	f.NeedsPartner = true
	return f
}

// bareKey is the rule for a value that a scenario sets by its path alone.
func bareKey(f Field) Field {
	f.Key = f.Path
	return f
}
