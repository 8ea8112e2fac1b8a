package schema

import "strings"

// Row is a key of a document, as the reference of the help has it.
type Row struct {
	Path     string // load.mass_kg, states.STATE.go[].to
	Says     string // type and range
	Default  string
	Note     string
	Required bool
	Section  bool   // it has keys of its own
	As       string // the path whose keys it has as well; empty for its own
}

// Rows lists the keys of a kind of document in their order, those within others behind them. Keys that are
// names of a table of their own, such as the values that a scenario can set, are left to that table.
func Rows(kind string) []Row {
	r := rows{seen: map[string]string{}}
	r.add("", Of(kind))
	return r.list
}

type rows struct {
	list []Row
	seen map[string]string // where the keys of a mapping were listed first
}

func (r *rows) add(path string, s *Shape) {
	for i := range s.Keys {
		k := &s.Keys[i]
		at := strings.TrimPrefix(path+"."+k.Name, ".")
		inner, below := within(at, k.Shape)
		row := Row{Path: at, Says: says(k.Shape), Default: k.Default, Note: k.Note, Required: k.Required, Section: inner != nil}
		if inner != nil {
			mark := names(inner)
			if row.As = r.seen[mark]; row.As == "" {
				r.seen[mark] = below
			}
		}
		r.list = append(r.list, row)
		if inner != nil && row.As == "" {
			r.add(below, inner)
		}
	}
}

// says is what a value is in words, with what a mapping or a list of single values has.
func says(s *Shape) string {
	switch {
	case s.Table || s.Each != nil || len(s.Keys) > 0:
	case s.Values != nil && len(s.Values.Keys) > 0:
		return "keys, by " + s.Own
	case s.Values != nil:
		return s.Values.Says + ", by " + s.Own
	case s.Items != nil && s.Says == "a list" && len(s.Items.Keys) == 0:
		return "a list, each " + s.Items.Says
	}
	return s.Says
}

// within is the mapping of a value whose keys are listed, and the path to them; nil if there is none.
func within(path string, s *Shape) (*Shape, string) {
	switch {
	case s.Each != nil:
		return within(path+"."+s.Own, s.Each)
	case s.Table:
		return nil, ""
	case len(s.Keys) > 0:
		return s, path
	case s.Values != nil:
		return within(path+"."+s.Own, s.Values)
	case s.Items != nil:
		return within(path+"[]", s.Items)
	}
	return nil, ""
}

// names tell mappings with the same keys.
func names(s *Shape) string {
	var b strings.Builder
	for i := range s.Keys {
		b.WriteString(s.Keys[i].Name + "\n" + s.Keys[i].Note + "\n")
	}
	return b.String()
}
