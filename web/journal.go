package web

// journalPages are the pages of the records.
func (s *Site) journalPages() map[string]handler {
	return map[string]handler{}
}
