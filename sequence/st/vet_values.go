package st

// value is what is known of a BOOL expression.
func (s *stayer) value(e expr, k knowledge) truth {
	if v := e.info().val; v != nil && e.info().final().kind == Bool {
		return truthOf(v.integer != 0)
	}
	switch e := e.(type) {
	case *parenExpr:
		return s.value(e.x, k)
	case *unaryExpr:
		if e.op == "NOT" {
			return s.value(e.x, k).not()
		}
	case *binaryExpr:
		return s.operation(e, k)
	case *callExpr:
		if e.lowered != nil {
			return s.value(e.lowered, k)
		}
	case *nameExpr, *fieldExpr, *indexExpr:
		if path, known := pathOf(s.prefix, e); known {
			return k[path]
		}
	}
	return unknown
}

func (s *stayer) operation(e *binaryExpr, k knowledge) truth {
	x, y := s.value(e.x, k), s.value(e.y, k)
	switch e.op {
	case "AND":
		return x.and(y)
	case "OR":
		return x.or(y)
	case "XOR":
		return x.same(y).not()
	case "=", "<>", "<", "<=", ">", ">=":
		if e.x.info().final().kind != Bool {
			return unknown
		}
		if e.op == "=" {
			return x.same(y)
		}
		if e.op == "<>" {
			return x.same(y).not()
		}
	}
	return unknown
}

// call follows the call of an instance of a function block.
func (s *stayer) call(st *callStmt, k knowledge) knowledge {
	if st.instance == nil {
		return s.lose(writes(st), k)
	}
	instance, known := pathOf(s.prefix, st.instance)
	if !known {
		k = s.setPart(instance, unknown, k)
		return s.lose(writes(st), k)
	}
	for _, a := range st.args {
		if a.value != nil && !a.output && a.param.Type.kind == Bool {
			k[instance+"."+upper(a.param.Name)] = s.value(a.value, k)
		}
	}
	k = s.follow(st.instance.info().typ.block, instance+".", k)
	for _, a := range st.args {
		if k == nil || a.value == nil {
			continue
		}
		if a.output {
			t := k[instance+"."+upper(a.param.Name)]
			if a.not {
				t = t.not()
			}
			k = s.set(a.value, t, k)
		} else if a.param.Section == InOut {
			k = s.lose([]expr{a.value}, k)
		}
	}
	return k
}

// lose forgets what is handed over to be written.
func (s *stayer) lose(list []expr, k knowledge) knowledge {
	for _, e := range list {
		if k != nil {
			path, _ := pathOf(s.prefix, e)
			k = s.setPart(path, unknown, k)
		}
	}
	return k
}

// follow runs the block of an instance.
func (s *stayer) follow(b *Block, prefix string, k knowledge) knowledge {
	if b.native != nil {
		return s.native(b, prefix, k)
	}
	outer := *s
	s.prefix, s.block = prefix, b
	k = s.run(k)
	s.prefix, s.block, s.ended = outer.prefix, outer.block, outer.ended
	return k
}

// native is a standard function block. Of an edge one scan is as good as all.
func (s *stayer) native(b *Block, prefix string, k knowledge) knowledge {
	in := func(name string) truth { return k[prefix+name] }
	switch b.Name {
	case "TON", "TOF":
		q := in("IN")
		if (q == yes) == (b.Name == "TON") {
			q = unknown
		}
		return s.setPath(prefix+"Q", q, k)
	case "R_TRIG":
		return s.setPath(prefix+"Q", in("CLK"), k)
	case "SR":
		return s.setPath(prefix+"Q1", in("S1").or(in("R").not().and(in("Q1"))), k)
	case "RS":
		return s.setPath(prefix+"Q1", in("R1").not().and(in("S").or(in("Q1"))), k)
	}
	for _, d := range b.Variables {
		if k != nil && d.Section == Output {
			k = s.setPath(prefix+upper(d.Name), unknown, k)
		}
	}
	return k
}
