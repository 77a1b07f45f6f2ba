"""The frozen data that everything else works on: rules and cases."""
