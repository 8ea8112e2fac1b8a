package screens

import (
	"reflect"

	tea "github.com/charmbracelet/bubbletea"
)

// asCommands finds the commands in a batch or in a sequence, whose type has no name outside
// the library.
func asCommands(msg tea.Msg) ([]tea.Cmd, bool) {
	v := reflect.ValueOf(msg)
	if !v.IsValid() || v.Kind() != reflect.Slice || v.Type().Elem() != reflect.TypeFor[tea.Cmd]() {
		return nil, false
	}
	var list []tea.Cmd
	for i := range v.Len() {
		list = append(list, v.Index(i).Interface().(tea.Cmd))
	}
	return list, true
}
