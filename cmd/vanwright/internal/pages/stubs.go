package pages

import (
	"github.com/vanwright/vanwright/cmd/vanwright/internal/batch"
	"github.com/vanwright/vanwright/data"
)

func (s *site) workshop() any                    { return s.frame("Workshop", "../", "workshop") }
func (s *site) margin() any                      { return s.frame("Margin", "../", "margin") }
func (s *site) technician(t data.Technician) any { return s.frame(t.Name, "../", "") }
func (s *site) handover(v *batch.Van) any        { return s.frame("x", "../", "") }
func (s *site) jobCard(v *batch.Van) any         { return s.frame("x", "../", "") }
func (s *site) bid(v *batch.Van) any             { return s.frame("x", "../", "") }
func (s *site) offer(v *batch.Van) any           { return s.frame("x", "../", "") }
