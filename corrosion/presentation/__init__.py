"""What people see: answers, tables, figures, report, terminal, dashboard."""
