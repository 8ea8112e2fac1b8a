package sequence

import "slices"

// KeptSignals are values that a controller other than a [Machine] shows as a machine shows those
// that its states keep: in traces, behind the states and on the bench. The names end with their
// units; what is wrong with one is returned beside it.
func KeptSignals(names []string, booleans []bool) (signals []Signal, faults map[string]string) {
	faults = map[string]string{}
	var places [2]int // of the next number and the next boolean
	for i, name := range names {
		s := Signal{Name: name, Kind: KindNumber, Unit: UnitOf(name)}
		place := &places[0]
		if booleans[i] {
			s.Kind, place = KindBoolean, &places[1]
		}
		at := *place
		switch why := shownNameFault(name); {
		case why != "":
			faults[name] = why
		case at == maxKept:
			faults[name] = "it is one value too many; 16 numbers and 16 booleans can be shown"
		case booleans[i]:
			s.in.boolean = func(in *Inputs) *bool { return &in.kept.booleans[at] }
		default:
			s.in.number = func(in *Inputs) *float64 { return &in.kept.numbers[at] }
		}
		*place++
		signals = append(signals, s)
	}
	return signals, faults
}

// shownNameFault refuses a name that a trace could not tell from a signal.
func shownNameFault(name string) string {
	isSignal := func(s Signal) bool { return s.Name == name }
	switch {
	case slices.ContainsFunc(inputTable(), isSignal):
		return name + " is the name of an input; choose another"
	case slices.ContainsFunc(outputTable(), isSignal):
		return name + " is the name of an output; choose another"
	}
	return paramNameFault(name)
}
