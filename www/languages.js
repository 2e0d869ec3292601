// The language of the comparison on the project's own page. The page around it is English.

const element = document.querySelector('handpath-compare');
const choice = document.querySelector('#language');

choice.addEventListener('change', () => {
  element.language = choice.value;
});
