"""The parts of the report page, each built from the figures of report.json."""
