"""What the client is handed: report, workbook, later drawings and sheets."""
