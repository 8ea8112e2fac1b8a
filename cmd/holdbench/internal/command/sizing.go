package command

import (
	"holdbench/plant/sizing"
	"holdbench/sequence"
)

// SizingParams are the parameters of a sequence that have a role, as numbers.
func SizingParams(d *sequence.Description) sizing.Params {
	params := sizing.Params{}
	for _, r := range sequence.RoleWords() {
		v, ok := d.Role(r.Role)
		if !ok {
			continue
		}
		if v.Kind == sequence.KindBoolean && v.Boolean {
			v.Number = 1
		}
		params[r.Role] = sizing.Param{Name: v.Name, Value: v.Number}
	}
	return params
}
