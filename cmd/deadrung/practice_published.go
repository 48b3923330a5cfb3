package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/faultmodel"
	"deadrung/testdata/published"
)

// listPublished lists the cases that can be practised, with their sources.
func listPublished(o practiceOptions, s streams) error {
	cases, err := published.Playable()
	if err != nil {
		return err
	}
	return output(o.output, s, func(w io.Writer) error {
		if o.json {
			type listed struct {
				Name   string `json:"name"`
				Title  string `json:"title"`
				Key    string `json:"key"`
				Source string `json:"source"`
				Faults int    `json:"faults"`
			}
			all := []listed{}
			for _, c := range cases {
				all = append(all, listed{c.Short, titleOf(c), c.Key, c.Source, len(c.Faults)})
			}
			return printJSON(w, all)
		}
		page := talk.NewPage(w)
		for _, c := range cases {
			page.Hang(talk.Padded(c.Short, 6)+" ",
				fmt.Sprintf("%s (%s)", titleOf(c), talk.Count(len(c.Faults), "fault")))
			page.Para("       ", sourceWords(c))
		}
		page.Blank()
		for _, src := range published.Sources {
			page.Hang("", src.Short+": "+src.Name+".")
		}
		return nil
	})
}

// sourceWords name the source of a case.
func sourceWords(c published.Case) string {
	if c.Key == "own" {
		return "Own arithmetic; " + strings.TrimPrefix(c.Source, "own arithmetic, not published; ") + "."
	}
	return fmt.Sprintf("Source (%s): %s.", c.Key, strings.TrimSuffix(c.Source, "."))
}

func titleOf(c published.Case) string {
	circuit, _ := read.Read(c.Name+".yaml", c.Text)
	if circuit == nil {
		return c.Name
	}
	return circuit.Title
}

// loadPublished makes the model of a published case and finds its fault.
func loadPublished(ctx context.Context, o practiceOptions, s streams) (*diagnose.Model, int, *origin, error) {
	fail := func(err error) (*diagnose.Model, int, *origin, error) { return nil, 0, nil, err }
	cases, err := published.Playable()
	if err != nil {
		return fail(err)
	}
	name, number, numbered := strings.Cut(o.published, ":")
	var names []string
	for _, c := range cases {
		names = append(names, c.Short)
	}
	i := slices.IndexFunc(cases,
		func(c published.Case) bool { return strings.EqualFold(c.Short, name) || c.Name == name })
	if i < 0 {
		return fail(usagef("there is no published case %q%s; --list names them", name,
			circuits.Suggest(name, names)))
	}
	name = cases[i].Name
	which := 1 // the printed answer
	if numbered && number == "any" {
		which = 1 + rand.New(rand.NewPCG(o.seed, 1)).IntN(len(cases[i].Faults))
	} else if numbered {
		if which, err = strconv.Atoi(number); err != nil || which < 1 || which > len(cases[i].Faults) {
			short := cases[i].Short
			return fail(usagef("%s has %s: type %s:1 to %s:%d, or %s:any", short,
				talk.Count(len(cases[i].Faults), "fault"), short, short, len(cases[i].Faults), short))
		}
	}
	f := cases[i].Faults[which-1]
	p, err := assemble(name+".yaml", cases[i].Text, s)
	if err != nil {
		return fail(err)
	}
	m, err := modelOf(ctx, p, cases[i].Text, o.given, s)
	if err != nil {
		return fail(err)
	}
	var e faultmodel.Effect
	raw, err := json.Marshal(f.Effect)
	if err == nil {
		err = json.Unmarshal(raw, &e)
	}
	if err != nil {
		return fail(err)
	}
	at := slices.IndexFunc(m.Faults(), func(f faultmodel.Fault) bool { return f.Effect.Same(e) })
	if at < 0 {
		return fail(fmt.Errorf("the circuit of %s has no fault %s", name, raw))
	}
	from := &origin{source: sourceWords(cases[i]), answer: f.Name, spelled: published.Named(cases[i].Source)}
	if f.Own && cases[i].Key != "own" {
		from.answer += " (not printed by the source; it follows from it)"
	}
	return m, at, from, nil
}
