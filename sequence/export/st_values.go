package export

// valuesBlock writes a block that computes the parameters which follow from others, so that both can
// be changed together on a machine.
func (w *stWriter) valuesBlock() {
	given, computed := parametersInOrder(w.program)
	if len(computed) == 0 {
		return
	}
	read := map[string]bool{}
	for _, v := range computed {
		for _, name := range namesIn(v.Expr) {
			read[name] = true
		}
	}
	w.comment(0, "The parameters that follow from others, as the documents compute them. Call it where the engineering changes, and connect its outputs to the inputs of "+w.own.block+".")
	w.line(0, "FUNCTION_BLOCK %s", w.own.values)
	var in, out []declared
	for _, v := range given {
		if read[v.Name] {
			in = append(in, w.param(v))
		}
	}
	for _, v := range computed {
		d := w.param(v)
		d.initial, d.note = "", meaningOf(w.program, v)
		out = append(out, d)
	}
	w.section("VAR_INPUT", "", in)
	w.section("VAR_OUTPUT", "", out)
	for _, v := range computed {
		w.line(0, "%s := %s;", w.params[v.Name], w.broken(v.Expr.Node, 0, 0))
	}
	w.line(0, "END_FUNCTION_BLOCK")
	w.line(0, "")
}
