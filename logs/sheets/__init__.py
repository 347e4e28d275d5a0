"""Sheets on paper: picked cases, a lesson, homework; as a page and as PDF, the same of both."""
