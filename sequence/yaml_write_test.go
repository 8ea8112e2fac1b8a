package sequence

import (
	"strconv"

	"github.com/goccy/go-yaml"
)

// MarshalYAML writes the parameters as a map in order.
func (p Params) MarshalYAML() (any, error) {
	return ordered(p, func(i Param) yaml.MapItem { return yaml.MapItem{Key: i.Name, Value: i.Value} }), nil
}

// MarshalYAML writes the states as a map in order.
func (s States) MarshalYAML() (any, error) {
	return ordered(s, func(i State) yaml.MapItem { return yaml.MapItem{Key: i.Name, Value: i} }), nil
}

// MarshalYAML writes the roles as a map in order.
func (r Roles) MarshalYAML() (any, error) {
	return ordered(r, func(i Role) yaml.MapItem { return yaml.MapItem{Key: i.Role, Value: i.Param} }), nil
}

// MarshalYAML writes the values to keep as a map in order.
func (k Keeps) MarshalYAML() (any, error) {
	return ordered(k, func(i Keep) yaml.MapItem { return yaml.MapItem{Key: i.Name, Value: i.Value} }), nil
}

// MarshalYAML writes the settings as a map in order.
func (s Settings) MarshalYAML() (any, error) {
	return ordered(s, func(i Setting) yaml.MapItem { return yaml.MapItem{Key: i.Output, Value: i.Value} }), nil
}

// MarshalYAML writes the ends as a map in order.
func (e Ends) MarshalYAML() (any, error) {
	return ordered(e, func(i End) yaml.MapItem { return yaml.MapItem{Key: i.State, Value: i.Kind} }), nil
}

// MarshalYAML writes numbers and booleans bare, everything else as a string.
func (t Text) MarshalYAML() ([]byte, error) {
	if _, err := strconv.ParseFloat(string(t), 64); err == nil || t == textTrue || t == textFalse {
		return []byte(t), nil
	}
	return yaml.Marshal(string(t))
}

func ordered[T any](items []T, one func(T) yaml.MapItem) yaml.MapSlice {
	all := make(yaml.MapSlice, 0, len(items))
	for _, item := range items {
		all = append(all, one(item))
	}
	return all
}
