package catalogue

import (
	"fmt"
	"strings"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/sequence"
)

// Params gives the name of the parameter of a sequence that has a role, in the words of
// [sequence.RoleWords].
type Params func(role string) Param

// Param is the name of a parameter.
type Param string

// key is that of a scenario's set.
func (p Param) key() string { return "sequence." + string(p) }

// SettingsOn are the settings of the fault on a rig with a sequence, by the keys of a scenario's set,
// and the roles that it needs and no parameter of the sequence has. None of both without settings.
func (f *Entry) SettingsOn(r *plant.Rig, d *sequence.Description) (set map[string]string, missing []string) {
	if f.Settings == nil {
		return nil, nil
	}
	set = f.Settings(r, func(role string) Param {
		name := d.Roles[role]
		if name == "" {
			missing = append(missing, role)
		}
		return Param(name)
	})
	if len(missing) > 0 {
		return nil, missing
	}
	return set, nil
}

// withoutRoles is the problem of a fault whose roles a sequence has not.
func withoutRoles(name string, d *sequence.Description, missing []string) problem.Problem {
	return problem.Problem{Path: "sequence", Message: fmt.Sprintf("%s sets parameters by their roles, and sequence %s gives none the role %s; see holdbench list roles",
		name, d.Name, strings.Join(missing, ", "))}
}
