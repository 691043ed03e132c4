"""What entries have to say, under the rules an operator works to: required elements, templates, who may sign."""
