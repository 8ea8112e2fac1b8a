package screens

import "github.com/charmbracelet/bubbles/key"

// benchKeys are the keys of the main screen, for matching and for help.
type benchKeys struct {
	Run, Scan, ScanBack, State, StateBack, Event, EventBack   key.Binding
	End, Start, Back, On, FarBack, FarOn, Faster, Slower      key.Binding
	Trigger, Cancel, Estop, Power, Fault, Values, Again, Swap key.Binding
	Older, Tab, Span, Ghost, Nominal, Truth                   key.Binding
	Choose, Lesson, Blind, Keep, Write, Mouse, Help, Quit     key.Binding
}

func bind(help string, keys ...string) key.Binding {
	return key.NewBinding(key.WithKeys(keys...), key.WithHelp(shown(keys[0]), help))
}

// shown is a key as help writes it.
func shown(k string) string {
	if k == " " {
		return "space"
	}
	return k
}

func newBenchKeys() benchKeys {
	return benchKeys{
		Run: bind("run, pause", " "), Scan: bind("one scan", "."), ScanBack: bind("one scan back", ","),
		State: bind("next state", "s"), StateBack: bind("state before", "S"),
		Event: bind("next event", "e"), EventBack: bind("event before", "E"),
		End: bind("to the end", "end", "G"), Start: bind("to the start", "home"),
		Back: bind("0.1 s back", "left"), On: bind("0.1 s on", "right"),
		FarBack: bind("1 s back", "[", "shift+left"), FarOn: bind("1 s on", "]", "shift+right"),
		Faster: bind("faster", "+", "="), Slower: bind("slower", "-"),
		Trigger: bind("trigger", "t"), Cancel: bind("cancel", "c"), Estop: bind("emergency stop", "x"),
		Power: bind("power off, on", "p"), Fault: bind("faults", "f"),
		Values: bind("change values", "v"), Again: bind("run again", "r"),
		Swap: bind("swap with ghost", "u"), Older: bind("an older run", "U"),
		Tab: bind("other pane", "tab"), Span: bind("span of strips", "z"),
		Ghost: bind("ghost on, off", "g"), Nominal: bind("nominal run", "o"), Truth: bind("truth on, off", "h"),
		Choose: bind("choose a run", "l"), Lesson: bind("lesson", "n"),
		Blind: bind("find a fault", "b"), Keep: bind("keep as scenario", "k"),
		Write: bind("save the screen", "w"), Mouse: bind("mouse on, off", "m"),
		Help: bind("help", "?"), Quit: bind("leave", "q", "ctrl+c"),
	}
}

// groups are the keys as the help page shows them.
func (k *benchKeys) groups() []HelpGroup {
	return []HelpGroup{
		{"Time", []key.Binding{k.Run, k.Scan, k.ScanBack, k.State, k.StateBack, k.Event, k.EventBack, k.On, k.Back, k.FarOn, k.FarBack, k.Start, k.End}},
		{"Do", []key.Binding{k.Trigger, k.Cancel, k.Estop, k.Power, k.Fault, k.Values, k.Again}},
		{"Compare", []key.Binding{k.Swap, k.Older, k.Ghost, k.Nominal, k.Truth}},
		{"See", []key.Binding{k.Faster, k.Slower, k.Tab, k.Span, k.Mouse, k.Write}},
		{"Go to", []key.Binding{k.Choose, k.Lesson, k.Blind, k.Keep, k.Help, k.Quit}},
	}
}
